import { aimPattern, createIsotropicPattern, type Pointing } from "@fellmark/antenna";
import type { CoverageRequest, EmitterSpec, SectorSpec, SiteSpec } from "@fellmark/network";
import { computeFreeSpaceLossDb, computeSightLoss, findPathSight } from "@fellmark/propagation";
import { DEG_PER_RAD, RAD_PER_DEG, toDb, toMilliwatts, toRatio } from "@fellmark/units";
import { isClutterStated } from "../link/end-clutter.ts";
import { computeFeederDb, findErrorSigmaDb, type LinkBudget } from "../link/link-budget.ts";
import type { Patterns } from "../link/patterns.ts";
import { computeScatteredGain } from "../link/transmitters.ts";
import { findEffectiveEarthRadiusM } from "../loss/mast.ts";
import { computeCoveredLoss } from "../path/covered-loss.ts";
import type { MastPath } from "../path/mast-path.ts";

/** Inputs of the levels between masts. */
export interface MastScene {
  request: CoverageRequest;
  patterns: Patterns;
  links: readonly LinkBudget[];
}

/** One end of a path between masts. */
interface MastEnd {
  site: SiteSpec;
  heightAglM: number;
  gainDbi: (azimuthDeg: number, elevationDeg: number) => number;
  peakGainDbi: number;
  scatteredGain: number;
}

/**
 * Level per port of an emitter at a sector's receiver, mW, while it sends.
 * @param path from the emitter to the sector's site; one that is not known counts as free.
 */
export function computeEmitterAtSectorMw(
  scene: MastScene,
  emitter: EmitterSpec,
  victim: number,
  path: MastPath,
): number {
  const { patterns, request } = scene;
  const frequencyGhz = emitter.channel.centreMhz / 1000;
  const { antenna, azimuthDeg = 0, downtiltDeg = 0 } = emitter;
  const pattern = antenna === undefined ? createIsotropicPattern(0) : patterns.get(antenna, frequencyGhz);
  const from = buildEnd({ id: emitter.id, lon: emitter.lon, lat: emitter.lat }, emitter.heightAglM, pattern, {
    azimuthDeg,
    downtiltDeg,
  });
  const fedDbm = emitter.eirpDbm - pattern.peakGainDbi - toDb(2);
  const to = buildSectorEnd(scene, victim, frequencyGhz);
  const lossDb = computeFeedLossDb(request.sectors[victim], frequencyGhz);
  return toMilliwatts(fedDbm - lossDb + computeThroughAirDb(scene, from, to, { path, frequencyGhz }));
}

/**
 * Level per chain of one base at another's receiver, mW, while it sends.
 * @param path between their sites, which a pair on one mast does not need; one that is not known counts as free.
 */
export function computeBaseAtSectorMw(scene: MastScene, source: number, victim: number, path: MastPath | null): number {
  const { request, links } = scene;
  const [sending, hearing] = [request.sectors[source], request.sectors[victim]];
  const before = links[source].down.before.filter(({ term }) => ["power", "per-chain", "eirp-back-off"].includes(term));
  const { frequencyGhz } = links[source];
  const losses = computeFeedLossDb(sending, frequencyGhz) + computeFeedLossDb(hearing, frequencyGhz);
  const fedDbm = before.reduce((sum, { db }) => sum + db, 0) - losses;
  if (path === null) return toMilliwatts(fedDbm - findCoSiteIsolationDb(scene, source, victim));
  const [from, to] = [buildSectorEnd(scene, source, frequencyGhz), buildSectorEnd(scene, victim, frequencyGhz)];
  return toMilliwatts(fedDbm + computeThroughAirDb(scene, from, to, { path, frequencyGhz }));
}

function computeFeedLossDb(sector: SectorSpec, frequencyGhz: number): number {
  return computeFeederDb(sector, frequencyGhz) + sector.connectorLossDb;
}

/** Radius of a mast's head, on which its antennas stand apart, m. Common practice, no source. */
const HEAD_RADIUS_M = 0.5;

/**
 * Isolation between two sectors of one mast, dB: as measured where the request tells it, else the greater of the
 * model's own and free space through both patterns.
 */
function findCoSiteIsolationDb(scene: Pick<MastScene, "request" | "patterns" | "links">, a: number, b: number): number {
  const { request } = scene;
  const [one, other] = [request.sectors[a], request.sectors[b]];
  const measured = request.isolations?.find(({ sectors }) => sectors.includes(one.id) && sectors.includes(other.id));
  if (measured) return measured.isolationDb;
  const { frequencyGhz } = scene.links[a];
  const east = HEAD_RADIUS_M * (Math.sin(other.azimuthDeg * RAD_PER_DEG) - Math.sin(one.azimuthDeg * RAD_PER_DEG));
  const north = HEAD_RADIUS_M * (Math.cos(other.azimuthDeg * RAD_PER_DEG) - Math.cos(one.azimuthDeg * RAD_PER_DEG));
  const up = other.heightAglM - one.heightAglM;
  const azimuthDeg = Math.atan2(east, north) * DEG_PER_RAD;
  const elevationDeg = Math.atan2(up, Math.hypot(east, north)) * DEG_PER_RAD;
  const gains =
    buildSectorEnd(scene, a, frequencyGhz).gainDbi(azimuthDeg, elevationDeg) +
    buildSectorEnd(scene, b, frequencyGhz).gainDbi(azimuthDeg + 180, -elevationDeg);
  const apartM = Math.max(1, Math.hypot(east, north, up));
  return Math.max(request.model.coSiteIsolationDb, computeFreeSpaceLossDb(apartM, frequencyGhz) - gains);
}

function buildSectorEnd(
  { request, patterns }: Pick<MastScene, "request" | "patterns">,
  index: number,
  frequencyGhz: number,
): MastEnd {
  const sector = request.sectors[index];
  const site = request.sites.find(({ id }) => id === sector.site) as SiteSpec;
  return buildEnd(site, sector.heightAglM, patterns.get(sector.antenna, frequencyGhz), sector);
}

function buildEnd(
  site: SiteSpec,
  heightAglM: number,
  pattern: ReturnType<typeof createIsotropicPattern>,
  pointing: Pointing,
): MastEnd {
  const aimed = aimPattern(pattern, pointing);
  return {
    site,
    heightAglM,
    gainDbi: (a, e) => aimed.gainDbi(a, e, 0),
    peakGainDbi: pattern.peakGainDbi,
    scatteredGain: pattern.scatteredGain ?? 0,
  };
}

/**
 * Spread of the level that a transmitter brings over its path, dB: that of the path's class.
 * @param heightAglM of the transmitter.
 */
export function findPathSigmaDb(
  { request }: Pick<MastScene, "request">,
  path: MastPath,
  { heightAglM, victim, frequencyGhz }: { heightAglM: number; victim: number; frequencyGhz: number },
): number {
  const heights = { txHeightAglM: heightAglM, rxHeightAglM: request.sectors[victim].heightAglM };
  const earthM = findEffectiveEarthRadiusM(request);
  const sight =
    path.notKnownShare === 0
      ? computeSightLoss(findPathSight(path, heights, earthM), frequencyGhz, earthM).class
      : "clear";
  return findErrorSigmaDb(request.model, sight, isClutterStated(request.model) ? "free" : "unknown");
}

/** Both gains toward the ray, with what obstacles scatter, less the loss of the path, dB. */
function computeThroughAirDb(
  { request, links }: MastScene,
  from: MastEnd,
  to: MastEnd,
  { path, frequencyGhz }: { path: MastPath; frequencyGhz: number },
): number {
  const { distanceM, azimuthDeg, backAzimuthDeg } = path;
  const isKnown = path.notKnownShare === 0;
  const heights = { txHeightAglM: from.heightAglM, rxHeightAglM: to.heightAglM };
  const earthM = findEffectiveEarthRadiusM(request);
  const setup = { heights, frequencyGhz, effectiveEarthRadiusM: earthM, model: request.model };
  const loss = isKnown ? computeCoveredLoss(findPathSight(path, heights, earthM), setup) : null;
  const sight = loss?.class ?? "clear";
  const gainDb = (end: MastEnd, azimuth: number, elevation: number) => {
    return toDb(toRatio(end.gainDbi(azimuth, elevation)) + computeScatteredGain(request.model, end, sight));
  };
  const gasDb = (links[0].gasDbPerKm * distanceM) / 1000;
  const pathDb = loss
    ? loss.freeSpaceDb + loss.diffractionDb + loss.clutterPathDb
    : computeFreeSpaceLossDb(Math.max(1, distanceM), frequencyGhz);
  return (
    gainDb(from, azimuthDeg ?? 0, loss?.departureElevationDeg ?? 0) +
    gainDb(to, backAzimuthDeg ?? 0, loss?.arrivalElevationDeg ?? 0) -
    pathDb -
    gasDb
  );
}
