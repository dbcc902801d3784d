import { findGeodesic } from "@fellmark/geodesy";
import { InputError } from "@fellmark/units";
import { type AntennaSpec, antennaSchema, toDescription } from "./antenna-schema.ts";
import { toCanonicalJson } from "./canonical.ts";
import type { Change, ChangeOf } from "./changes.ts";
import type { CoverageRequest, SectorSpec, SubscriberSpec } from "./coverage-request.ts";
import { checkCoverageRequest } from "./parse-request.ts";

/**
 * The request with every change made, in order; the request given is left as it is.
 * Subscribers of a sector that is split go to the part that points at them best; those of a removed one go with it.
 * Throws InputError below /changes/i for a change that names what is not there, and below /changes where the changed
 * request could not be asked for.
 */
export function applyChanges(request: CoverageRequest, changes: readonly Change[]): CoverageRequest {
  const changed = changes.reduce((at, change, index) => applyChange(at, change, `/changes/${index}`), request);
  try {
    checkCoverageRequest(changed);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const problems = error.problems.map(({ pointer, detail, ...limit }) => ({
      pointer: "/changes",
      detail: `after the changes, ${pointer}: ${detail}`,
      ...limit,
    }));
    throw new InputError(problems, error.code);
  }
  return changed;
}

function applyChange(request: CoverageRequest, change: Change, at: string): CoverageRequest {
  switch (change.kind) {
    case "swap-antenna":
      return swapAntenna(request, change, at);
    case "turn":
      return updateSector(request, change.sector, at, { azimuthDeg: change.azimuthDeg });
    case "tilt":
      return updateSector(request, change.sector, at, { downtiltDeg: change.downtiltDeg });
    case "channel":
      return updateSector(request, change.sector, at, { channel: change.channel });
    case "power":
      return updateSector(request, change.sector, at, { powerDbm: change.powerDbm });
    case "timing":
      return updateSector(request, change.sector, at, { timingGroup: change.timingGroup });
    case "feeder":
      return replaceFeeder(request, change, at);
    case "split":
      return split(request, change, at);
    case "add-sector":
      return addSector(request, change, at);
    case "remove-sector":
      return removeSector(request, change, at);
    case "add-emitter":
      return addEmitter(request, change, at);
    case "without-lobes":
      return dropLobes(request, change, at);
    case "obstacle-cap":
      return { ...request, model: { ...request.model, obstacleCapDb: change.obstacleCapDb } };
  }
}

function createFault(pointer: string, detail: string): InputError {
  return new InputError([{ pointer, detail }]);
}

function findSector(request: CoverageRequest, id: string, at: string): SectorSpec {
  const sector = request.sectors.find((candidate) => candidate.id === id);
  if (!sector) throw createFault(`${at}/sector`, `there is no sector "${id}" at this point of the changes`);
  return sector;
}

function findAntenna(request: CoverageRequest, id: string, pointer: string): AntennaSpec {
  const antenna = request.antennas.find((candidate) => candidate.id === id);
  if (!antenna) throw createFault(pointer, `there is no antenna "${id}" at this point of the changes`);
  return antenna;
}

function updateSector(request: CoverageRequest, id: string, at: string, fields: Partial<SectorSpec>): CoverageRequest {
  const sector = findSector(request, id, at);
  return replaceSector(request, sector, [{ ...sector, ...fields }]);
}

function replaceSector(request: CoverageRequest, old: SectorSpec, parts: SectorSpec[]): CoverageRequest {
  return { ...request, sectors: request.sectors.flatMap((sector) => (sector === old ? parts : sector)) };
}

/** The request with one more antenna; the same one again is no fault, another of the same id is. */
function replaceAntenna(request: CoverageRequest, antenna: AntennaSpec, pointer: string): CoverageRequest {
  const known = request.antennas.find(({ id }) => id === antenna.id);
  if (!known) return { ...request, antennas: [...request.antennas, antenna] };
  if (toCanonicalJson(known) === toCanonicalJson(antenna)) return request;
  throw createFault(`${pointer}/id`, `there is another antenna "${antenna.id}" already`);
}

function swapAntenna(request: CoverageRequest, change: ChangeOf<"swap-antenna">, at: string): CoverageRequest {
  const { sector, antenna } = change;
  if (typeof antenna !== "string") {
    return updateSector(replaceAntenna(request, antenna, `${at}/antenna`), sector, at, { antenna: antenna.id });
  }
  return updateSector(request, sector, at, { antenna: findAntenna(request, antenna, `${at}/antenna`).id });
}

function replaceFeeder(request: CoverageRequest, change: ChangeOf<"feeder">, at: string): CoverageRequest {
  const { feeder: _replaced, ...sector } = findSector(request, change.sector, at);
  const old = findSector(request, change.sector, at);
  return replaceSector(request, old, [{ ...sector, feederLossDb: change.feederLossDb }]);
}

function split(request: CoverageRequest, { sector: id, into }: ChangeOf<"split">, at: string): CoverageRequest {
  const whole = findSector(request, id, at);
  into.forEach(({ antenna }, index) => {
    findAntenna(request, antenna, `${at}/into/${index}/antenna`);
  });
  const parts = into.map(({ channel = whole.channel, ...part }) => ({ ...whole, ...part, channel }));
  parts.forEach((part, index) => {
    const isTaken = [...request.sectors, ...parts.slice(0, index)].some((other) => other.id === part.id);
    if (isTaken && (part.id !== id || parts.slice(0, index).some((other) => other.id === id)))
      throw createFault(`${at}/into/${index}/id`, `there is another sector "${part.id}" already`);
  });
  const subscribers = request.subscribers.map((subscriber) =>
    subscriber.sector === id ? { ...subscriber, sector: chooseBestPart(request, parts, subscriber).id } : subscriber,
  );
  const kept = parts.some((part) => part.id === id) ? request : dropIsolations(request, id);
  return { ...replaceSector(kept, whole, parts), subscribers };
}

/** The part whose azimuth is nearest to the bearing of a subscriber. */
function chooseBestPart(request: CoverageRequest, parts: SectorSpec[], subscriber: SubscriberSpec): SectorSpec {
  const site = request.sites.find(({ id }) => id === parts[0]?.site) ?? subscriber;
  const { azimuthDeg } = findGeodesic(site, subscriber);
  const offDeg = (part: SectorSpec) => Math.abs(((part.azimuthDeg - azimuthDeg + 540) % 360) - 180);
  return parts.reduce((best, part) => (offDeg(part) < offDeg(best) ? part : best));
}

function addSector(request: CoverageRequest, change: ChangeOf<"add-sector">, at: string): CoverageRequest {
  const { sector, site } = change;
  if (request.sectors.some(({ id }) => id === sector.id))
    throw createFault(`${at}/sector/id`, `there is another sector "${sector.id}" already`);
  if (site && request.sites.some(({ id }) => id === site.id))
    throw createFault(`${at}/site/id`, `there is another site "${site.id}" already`);
  const sites = site ? [...request.sites, site] : request.sites;
  if (!sites.some(({ id }) => id === sector.site))
    throw createFault(`${at}/sector/site`, `there is no site "${sector.site}" at this point of the changes`);
  findAntenna(request, sector.antenna, `${at}/sector/antenna`);
  if (!request.radios.some(({ id }) => id === sector.radio))
    throw createFault(`${at}/sector/radio`, `there is no radio "${sector.radio}"`);
  return { ...request, sites, sectors: [...request.sectors, sector] };
}

function removeSector(request: CoverageRequest, { sector: id }: ChangeOf<"remove-sector">, at: string) {
  const sector = findSector(request, id, at);
  if (request.sectors.length === 1) throw createFault(`${at}/sector`, "the last sector cannot be removed");
  const subscribers = request.subscribers.filter((subscriber) => subscriber.sector !== id);
  return { ...replaceSector(dropIsolations(request, id), sector, []), subscribers };
}

function dropIsolations(request: CoverageRequest, id: string): CoverageRequest {
  return { ...request, isolations: request.isolations.filter(({ sectors }) => !sectors.includes(id)) };
}

function addEmitter(request: CoverageRequest, { emitter }: ChangeOf<"add-emitter">, at: string): CoverageRequest {
  if (request.emitters.some(({ id }) => id === emitter.id))
    throw createFault(`${at}/emitter/id`, `there is another emitter "${emitter.id}" already`);
  if (emitter.antenna !== undefined) findAntenna(request, emitter.antenna, `${at}/emitter/antenna`);
  return { ...request, emitters: [...request.emitters, emitter] };
}

/** Room for the words that tell an antenna without lobes from the one it was, in an id of 64 characters. */
const ID_KEPT = 36;

function dropLobes(request: CoverageRequest, change: ChangeOf<"without-lobes">, at: string): CoverageRequest {
  const sector = findSector(request, change.sector, at);
  const antenna = findAntenna(request, sector.antenna, `${at}/sector`);
  const bare = antennaSchema.safeParse({
    id: `${antenna.id.slice(0, ID_KEPT)}.without-lobes.${change.power}`,
    kind: "without-lobes",
    base: toDescription(antenna),
    power: change.power,
  });
  if (!bare.success) throw createFault(`${at}/sector`, `antenna "${antenna.id}" has been changed too often`);
  return swapAntenna(request, { kind: "swap-antenna", sector: sector.id, antenna: bare.data }, at);
}
