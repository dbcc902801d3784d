import { findGeodesic } from "@fellmark/geodesy";
import { InputError } from "@fellmark/units";
import { antennaSchema, toDescription } from "./antenna-schema.ts";
import { createFault, findAntenna, takeAntenna } from "./change-parts.ts";
import type { Change, ChangeOf } from "./changes.ts";
import {
  addEmitter,
  addSubscribers,
  changeCpe,
  changePlan,
  changeSubscriberPlan,
  moveSite,
} from "./changes-around-sectors.ts";
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
    case "height":
      return updateSector(request, change.sector, at, { heightAglM: change.heightAglM });
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
    case "move-site":
      return moveSite(request, change, at);
    case "cpe":
      return changeCpe(request, change, at);
    case "plan":
      return changePlan(request, change, at);
    case "subscriber-plan":
      return changeSubscriberPlan(request, change, at);
    case "add-subscribers":
      return addSubscribers(request, change, at);
    case "add-emitter":
      return addEmitter(request, change, at);
    case "without-lobes":
      return dropLobes(request, change, at);
    case "obstacle-cap":
      return { ...request, model: { ...request.model, obstacleCapDb: change.obstacleCapDb } };
  }
}

function findSector(request: CoverageRequest, id: string, at: string): SectorSpec {
  const sector = request.sectors.find((candidate) => candidate.id === id);
  if (!sector) throw createFault(`${at}/sector`, `there is no sector "${id}" at this point of the changes`);
  return sector;
}

function updateSector(request: CoverageRequest, id: string, at: string, fields: Partial<SectorSpec>): CoverageRequest {
  const sector = findSector(request, id, at);
  return replaceSector(request, sector, [{ ...sector, ...fields }]);
}

function replaceSector(request: CoverageRequest, old: SectorSpec, parts: SectorSpec[]): CoverageRequest {
  return { ...request, sectors: request.sectors.flatMap((sector) => (sector === old ? parts : sector)) };
}

function swapAntenna(request: CoverageRequest, change: ChangeOf<"swap-antenna">, at: string): CoverageRequest {
  const taken = takeAntenna(request, change.antenna, `${at}/antenna`);
  return updateSector(taken.request, change.sector, at, { antenna: taken.id });
}

function replaceFeeder(request: CoverageRequest, change: ChangeOf<"feeder">, at: string): CoverageRequest {
  const { feeder: _replaced, ...sector } = findSector(request, change.sector, at);
  const old = findSector(request, change.sector, at);
  return replaceSector(request, old, [{ ...sector, feederLossDb: change.feederLossDb }]);
}

function split(request: CoverageRequest, { sector: id, into }: ChangeOf<"split">, at: string): CoverageRequest {
  const whole = findSector(request, id, at);
  let equipped = request;
  const parts = into.map(({ channel = whole.channel, ...part }, index) => {
    const taken = takeAntenna(equipped, part.antenna, `${at}/into/${index}/antenna`);
    equipped = taken.request;
    return { ...whole, ...part, antenna: taken.id, channel };
  });
  checkPartIds(request, id, parts, at);
  const subscribers = request.subscribers.map((subscriber) =>
    subscriber.sector === id ? { ...subscriber, sector: chooseBestPart(request, parts, subscriber).id } : subscriber,
  );
  const kept = parts.some((part) => part.id === id) ? equipped : dropIsolations(equipped, id);
  return { ...replaceSector(kept, whole, parts), subscribers };
}

/** Throws InputError for a part that takes the id of another sector; one part may keep that of the whole. */
function checkPartIds(request: CoverageRequest, id: string, parts: SectorSpec[], at: string): void {
  parts.forEach((part, index) => {
    const before = parts.slice(0, index);
    const isTaken = [...request.sectors, ...before].some((other) => other.id === part.id);
    if (isTaken && (part.id !== id || before.some((other) => other.id === id)))
      throw createFault(`${at}/into/${index}/id`, `there is another sector "${part.id}" already`);
  });
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
  if (!request.radios.some(({ id }) => id === sector.radio))
    throw createFault(`${at}/sector/radio`, `there is no radio "${sector.radio}"`);
  const taken = takeAntenna(request, sector.antenna, `${at}/sector/antenna`);
  return { ...taken.request, sites, sectors: [...request.sectors, { ...sector, antenna: taken.id }] };
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
