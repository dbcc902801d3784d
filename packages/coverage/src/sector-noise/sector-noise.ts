import { aimPattern } from "@fellmark/antenna";
import { findGeodesic, type LonLat } from "@fellmark/geodesy";
import { type CoverageRequest, MAX_REACH_M, type ScanSpec, type SiteSpec } from "@fellmark/network";
import { computeScanNoiseMw, type RateThresholds, solveScanDirections } from "@fellmark/radio";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { toDb, toMilliwatts, toRatio } from "@fellmark/units";
import { readTerrainPath } from "../ground/terrain-path.ts";
import { sumUncertainLevels } from "../link/interference-spread.ts";
import { computeFeederDb, type LinkBudget } from "../link/link-budget.ts";
import { findChannelOverlap, type Overlap } from "../link/overlap.ts";
import type { Patterns } from "../link/patterns.ts";
import type { LevelSteps } from "../link/up-link.ts";
import type { MastPath } from "../path/mast-path.ts";
import { meanRateSteps } from "../uplink/mean-rate.ts";
import { computeUplinkDistribution, meanLevelMw, type UplinkSender } from "../uplink/uplink-distribution.ts";
import { computeBaseAtSectorMw, computeEmitterAtSectorMw, findPathSigmaDb, type MastScene } from "./between-masts.ts";
import type { SenderPlaces } from "./uplink-places.ts";

/** Mean power at a sector's worse port by cause, mW; they sum to the total. */
export interface NoiseCauses {
  thermalMw: number;
  scansMw: number;
  emittersMw: number;
  /** Bases of other timing groups. */
  basesMw: number;
  /** Subscribers of other sectors. */
  subscribersMw: number;
}

/** Noise and interference at a sector's own receiver. */
export interface SectorNoise {
  causes: NoiseCauses;
  /** Sum of the causes, dBm. */
  meanDbm: number;
  /** Of the sum as it changes with whoever sends, dBm. */
  medianDbm: number;
  p90Dbm: number;
  /**
   * Equally likely levels of all that comes and goes, mW; scans and the receiver's own noise are steady beside them.
   */
  levelsMw: Float64Array;
  /**
   * Steps of the mean rate with all streams and with a single one; what errors of the interference add: see UpLink,
   * dB^2.
   */
  up: { all: LevelSteps; single: LevelSteps; raise: number; variance: number };
  /** Findings about the scans that it rests on, for the planner. */
  findings: NoiseFinding[];
}

export interface NoiseFinding {
  code: string;
  /** JSON pointer of the scan. */
  pointer: string;
  detail: string;
}

const NO_TRANSMITTERS = { emitters: [], bases: [], uncertain: [] };

/** Receivers that hear nothing but their own noise. */
export function buildQuietNoise(links: readonly LinkBudget[]): SectorNoise[] {
  return links.map((link) => buildNoise(link, { scansMw: 0, findings: [], ...NO_TRANSMITTERS, subscribers: [] }));
}

export interface TerrainScene extends MastScene {
  catalogue: TerrainCatalogue;
}

/**
 * Returns noise and interference at every sector: scans, emitters, bases of other timing groups, subscribers of other
 * sectors.
 */
export async function computeSectorNoise(scene: TerrainScene, places: readonly SenderPlaces[]): Promise<SectorNoise[]> {
  const noise: SectorNoise[] = [];
  for (const victim of scene.links.keys()) {
    const paths = await readPaths(scene, victim);
    const subscribers = sumSubscribers(scene.request, victim, places);
    noise.push(combineNoise(scene, victim, { pathFrom: (from) => paths.get(from) ?? null, subscribers }));
  }
  return noise;
}

/** Paths and subscribers by which interference reaches a sector. */
export interface OverTheAir {
  /** The path from another site or an emitter to the sector's; null out of reach. */
  pathFrom(from: LonLat): MastPath | null;
  /** Subscribers of other sectors. */
  subscribers: UplinkSender[];
}

/** Returns noise and interference at one sector. */
export function combineNoise(scene: MastScene, victim: number, { pathFrom, subscribers }: OverTheAir): SectorNoise {
  const link = scene.links[victim];
  return buildNoise(link, { ...sumScans(scene, link), ...sumTransmitters(scene, victim, pathFrom), subscribers });
}

/** The paths from everybody whom a sector hears from another site, by their place. */
async function readPaths(scene: TerrainScene, victim: number): Promise<Map<LonLat, MastPath>> {
  const paths = new Map<LonLat, MastPath>();
  for (const source of findInterferingSources(findChannelOverlap(scene.request, victim))) {
    const from = findSenderPlace(scene.request, source);
    const path = paths.has(from) ? null : await findMastPath(scene, source, victim);
    if (path) paths.set(from, path);
  }
  return paths;
}

/** Null on one site, and out of reach. */
async function findMastPath(
  { catalogue, request }: TerrainScene,
  source: number,
  victim: number,
): Promise<MastPath | null> {
  const [from, to] = [findSenderPlace(request, source), findSenderPlace(request, victim)];
  const isInReach = from !== to && findGeodesic(from, to).distanceM <= MAX_REACH_M;
  return isInReach ? await readTerrainPath(catalogue, request, from, to) : null;
}

/** Level of a base, or after the sectors an emitter, at a sector's receiver while it sends, mW per chain. */
export async function computeSourceAtSectorMw(scene: TerrainScene, source: number, victim: number): Promise<number> {
  return computeLevelMw(scene, source, victim, await findMastPath(scene, source, victim));
}

/** Bases and emitters that a sector hears, by number. */
function findInterferingSources({ shareUp, baseOnUp }: Overlap): number[] {
  return [...shareUp.keys()].filter((source) => shareUp[source] * baseOnUp[source] > 0);
}

/** The site of a sector, or after the sectors an emitter. */
function findSenderPlace({ sites, sectors, emitters }: CoverageRequest, number: number): LonLat {
  const sector = sectors[number];
  return sector ? (sites.find(({ id }) => id === sector.site) as SiteSpec) : emitters[number - sectors.length];
}

/** Levels at a sector's receiver; senders come and go, scans are a steady floor. */
interface Heard {
  scansMw: number;
  findings: NoiseFinding[];
  emitters: UplinkSender[];
  bases: UplinkSender[];
  /** Mean levels of emitters and bases, mW, and the errors of their paths. */
  uncertain: { levelMw: number; sigmaDb: number }[];
  subscribers: UplinkSender[];
}

function buildNoise(link: LinkBudget, heard: Heard): SectorNoise {
  const { scansMw, findings, emitters, bases, subscribers, uncertain } = heard;
  const thermalMw = toMilliwatts(link.up.noiseDbm);
  const steadyMw = thermalMw + scansMw;
  const sum = computeUplinkDistribution([...emitters, ...bases, ...subscribers]);
  const causes = {
    thermalMw,
    scansMw,
    emittersMw: meanLevelMw(emitters),
    basesMw: meanLevelMw(bases),
    subscribersMw: meanLevelMw(subscribers),
  };
  const totalMw = Object.values(causes).reduce((total, part) => total + part, 0);
  return {
    causes,
    meanDbm: toDb(totalMw),
    medianDbm: toDb(steadyMw + sum.medianMw),
    p90Dbm: toDb(steadyMw + sum.p90Mw),
    levelsMw: sum.levelsMw,
    up: { ...buildUpSteps(link, steadyMw, sum.levelsMw), ...findUpSpread(totalMw, uncertain) },
    findings,
  };
}

/**
 * Returns the spread that errors of the paths of emitters and bases add: the levels of many subscribers are as sure as
 * their mean.
 */
function findUpSpread(totalMw: number, uncertain: Heard["uncertain"]): Pick<SectorNoise["up"], "raise" | "variance"> {
  const steadyMw = totalMw - uncertain.reduce((sum, { levelMw }) => sum + levelMw, 0);
  const { meanDb, variance } = sumUncertainLevels(steadyMw, uncertain);
  return { raise: Math.max(1, toMilliwatts(meanDb) / totalMw), variance };
}

/** The same noise as the uplink of another CPE meets it: its rates need other levels. */
export function adaptNoise(noise: SectorNoise, link: LinkBudget): SectorNoise {
  const steps = buildUpSteps(link, noise.causes.thermalMw + noise.causes.scansMw, noise.levelsMw);
  return { ...noise, up: { ...noise.up, ...steps } };
}

function buildUpSteps(
  { rates }: LinkBudget,
  noiseMw: number,
  levelsMw: Float64Array,
): Pick<SectorNoise["up"], "all" | "single"> {
  const build = ({ sinrDb, netMbps }: RateThresholds) => {
    const { signalMw, netMbps: steps } = meanRateSteps({ noiseMw, levelsMw, rateSinr: sinrDb.map(toRatio), netMbps });
    return { levelMw: signalMw, mbps: Float64Array.of(0, ...steps) };
  };
  const all = build(rates.up);
  const single = rates.streams === 1 ? all : build(rates.single.up);
  return { all, single };
}

/**
 * Noise that the site's scans found in the sector's channel, taken through its pattern; the worst scan, the worse port.
 */
function sumScans(scene: MastScene, link: LinkBudget): Pick<Heard, "scansMw" | "findings"> {
  const { request, patterns } = scene;
  const { sector, frequencyGhz } = link;
  const aimed = aimPattern(patterns.get(sector.antenna, frequencyGhz), sector);
  const lossLinear = toRatio(-computeFeederDb(sector, frequencyGhz) - sector.connectorLossDb);
  const heard = { scansMw: 0, findings: [] as NoiseFinding[] };
  request.scans.forEach((scan, index) => {
    if (scan.site !== sector.site) return;
    const pointer = `/scans/${index}`;
    const directions = solveScanDirections(scan, sector.channel, {
      ...scanAntenna(scan, patterns, frequencyGhz),
      pointer,
    });
    heard.findings.push(...directions.findings.map(({ code, detail }) => ({ code, detail, pointer })));
    for (const port of [0, 1] as const) {
      heard.scansMw = Math.max(heard.scansMw, computeScanNoiseMw(directions, aimed, port) * lossLinear);
    }
  });
  return heard;
}

function scanAntenna({ antenna }: ScanSpec, patterns: Patterns, frequencyGhz: number) {
  return typeof antenna === "string" ? { antenna: patterns.get(antenna, frequencyGhz) } : {};
}

function sumTransmitters(
  scene: MastScene,
  victim: number,
  pathFrom: OverTheAir["pathFrom"],
): Pick<Heard, "emitters" | "bases" | "uncertain"> {
  const { sectors } = scene.request;
  const overlap = findChannelOverlap(scene.request, victim);
  const heard: Pick<Heard, "emitters" | "bases" | "uncertain"> = { emitters: [], bases: [], uncertain: [] };
  for (const source of findInterferingSources(overlap)) {
    const path = pathFrom(findSenderPlace(scene.request, source));
    const onMw = computeLevelMw(scene, source, victim, path);
    const levelMw = onMw * overlap.shareUp[source] * overlap.baseOnUp[source];
    if (path) heard.uncertain.push({ levelMw, sigmaDb: findTransmitterSigmaDb(scene, source, victim, path) });
    heard[source < sectors.length ? "bases" : "emitters"].push({
      levelsMw: Float64Array.of(onMw * overlap.shareUp[source]),
      weights: Float64Array.of(1),
      activity: overlap.baseOnUp[source],
    });
  }
  return heard;
}

function findTransmitterSigmaDb({ request }: MastScene, source: number, victim: number, path: MastPath): number {
  const { heightAglM, channel } = request.sectors[source] ?? request.emitters[source - request.sectors.length];
  return findPathSigmaDb({ request }, path, { heightAglM, victim, frequencyGhz: channel.centreMhz / 1000 });
}

/** @param path null on one site, and out of reach, where nothing is heard. */
function computeLevelMw(scene: MastScene, source: number, victim: number, path: MastPath | null): number {
  const { request } = scene;
  const isOneSite = findSenderPlace(request, source) === findSenderPlace(request, victim);
  if (path === null && !isOneSite) return 0;
  const emitter = request.emitters[source - request.sectors.length];
  return emitter && path
    ? computeEmitterAtSectorMw(scene, emitter, victim, path)
    : computeBaseAtSectorMw(scene, source, victim, path);
}

/** One subscriber at a time in each other sector. */
function sumSubscribers(request: CoverageRequest, victim: number, places: readonly SenderPlaces[]): UplinkSender[] {
  const { subscriberShareUp: share, subscriberOnUp } = findChannelOverlap(request, victim);
  return places.flatMap(({ weights, levelsMw }, sector) => {
    if (share[sector] * subscriberOnUp[sector] === 0 || weights.length === 0) return [];
    return {
      levelsMw: Float64Array.from(levelsMw, (levels) => levels[victim] * share[sector]),
      weights: Float64Array.from(weights),
      activity: subscriberOnUp[sector],
    };
  });
}
