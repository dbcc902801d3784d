import type { AntennaPattern, Pointing, Port } from "@fellmark/antenna";
import { countWorldCells, createRowFrame, type LatticeWindow, toLatticeRow } from "@fellmark/geodesy";
import { type CoverageRequest, MAX_REACH_M } from "@fellmark/network";
import { computeFreeSpaceLossDb, computeGasAttenuationDbPerKm } from "@fellmark/propagation";
import { CELL_CLASS } from "@fellmark/sweep";
import { RAD_PER_DEG, toMilliwatts, toRatio } from "@fellmark/units";
import { tabulateByClutter } from "../clutter/clutter-code.ts";
import { findMeasuredSources } from "../clutter/covered-ground.ts";
import { computePathCalibrationDb, findSectorBiasDb } from "../link/calibration.ts";
import {
  type ClutterAround,
  computeStatisticalCpeDb,
  endClutterDb,
  isClutterStated,
  isStatistical,
} from "../link/end-clutter.ts";
import {
  computeConfidenceFactor,
  findErrorSigmaDb,
  hasEndClutterLoss,
  type LinkBudget,
  listStreamRates,
} from "../link/link-budget.ts";
import { findChannelOverlap, type Overlap } from "../link/overlap.ts";
import type { Patterns } from "../link/patterns.ts";
import { createReceivedGain, type Feed } from "../link/received-pattern.ts";
import { computeScatteredGain, isSplit, listTransmitters, type Transmitter } from "../link/transmitters.ts";
import { isOneSite, type Mast } from "../loss/mast.ts";
import type { DiscLoss, MastLoss } from "../loss/mast-loss.ts";
import type { SectorNoise } from "../sector-noise/sector-noise.ts";
import { tabulate } from "./distance-table.ts";
import { tabulateFade } from "./fade-table.ts";
import { bakeGainTable, type GainOf, type GainTable } from "./gain-table.ts";
import type { LayerJob, LossLayer, MastLayer, SectorLayer, SourceLayer } from "./layer-job.ts";

export interface LayerInput {
  request: CoverageRequest;
  patterns: Patterns;
  /** Window of the cells to compute. */
  window: LatticeWindow;
  masts: Mast[];
  mastOfSource: number[];
  losses: MastLoss[];
  links: LinkBudget[];
  /** Noise and interference at each sector. */
  noise: SectorNoise[];
  /** Clutter on the cells of the window, by clutterCode; null where no raster tells it. */
  clutter: Uint16Array | null;
}

/** In the order of CELL_CLASS. */
const PATH_CLASSES = ["clear", "grazing", "blocked"] as const;

/** Everything the layers need of a request, once its losses are known. */
export function buildLayerJob(input: LayerInput): LayerJob {
  const { request, links } = input;
  const transmitters = listTransmitters(request, input.patterns, links);
  const cpe = input.patterns.get(request.cpe.antenna, links[0].frequencyGhz);
  const ports = isSplit(transmitters, cpe) ? 2 : 1;
  return {
    window: input.window,
    masts: input.masts.map((_, index) => buildMastLayer(input, index)),
    sources: buildSourceLayers(input, transmitters, ports),
    sectors: links.map((_, index) => buildSectorLayer(input, index)),
    sectorSite: Int16Array.from(links, ({ sector }) => request.sites.findIndex(({ id }) => id === sector.site)),
    coupling: Float64Array.from(links.flatMap((_, index) => [...meanShares(findChannelOverlap(request, index))])),
    ...buildCpeLayer(input, cpe, ports),
    areaMask: null,
    clutter: input.clutter,
    sigmaDb: listSigmas(request),
    confidenceFactor: computeConfidenceFactor(request.model.confidence),
    planDownMbps: Float64Array.from(request.plans, (plan) => plan.downMbps),
    planUpMbps: Float64Array.from(request.plans, (plan) => plan.upMbps),
    ports,
    wantRasters: request.outputs.includes("rasters"),
  };
}

/**
 * Spread for each class of the path, dB; last, for a cell with nothing known on it. Where measured clutter stands on
 * the way, what obstructs a path may be clutter, which is as uncertain as a blocked one.
 */
function listSigmas({ model }: CoverageRequest): Float64Array {
  const clear = isClutterStated(model) ? "free" : "unknown";
  const obstructed = findMeasuredSources(model) ? "costs" : clear;
  return Float64Array.of(
    findErrorSigmaDb(model, "clear", clear),
    findErrorSigmaDb(model, "grazing", obstructed),
    findErrorSigmaDb(model, "blocked", obstructed),
    findErrorSigmaDb({ ...model, calibration: null }, "blocked", "unknown"),
  );
}

function buildMastLayer(input: LayerInput, index: number): MastLayer {
  const { request, masts, mastOfSource, losses, window } = input;
  const mast = masts[index];
  const sources = mastOfSource.flatMap((owner, source) => (owner === index ? [source] : []));
  const isEmitter = sources[0] >= request.sectors.length;
  return {
    site: isEmitter ? -1 - index : request.sites.findIndex(({ id }) => id === mast.site.id),
    sources,
    isEmitter,
    rows: createRowFrame(mast.site, toLatticeRow(mast.site.lat, window.zoom), window),
    gasDbPerKm: request.model.gas ? computeGasAttenuationDbPerKm(mast.frequencyGhz) : 0,
    ...buildCpeSurroundings(input, mast.frequencyGhz),
    antennaAmslM: (losses[index].near ?? losses[index].far)?.terrain.mastAmslM ?? 0,
    serviceKm: request.area.radiusM / 1000,
    near: buildLossLayer(losses[index].near, mast.near?.window, window),
    far: buildLossLayer(losses[index].far, mast.far?.window, window),
  };
}

/** Loss of the CPE by the clutter around it, and the calibration of the paths by own links. */
function buildCpeSurroundings(
  { request, clutter }: LayerInput,
  frequencyGhz: number,
): Pick<MastLayer, "clutterGain" | "statisticalDb" | "calibrationDb"> {
  const { model, cpe } = request;
  const gainAmong = (around: ClutterAround) => toRatio(-endClutterDb(model, around, cpe.heightAglM, frequencyGhz));
  const reachKm = MAX_REACH_M / 1000;
  return {
    clutterGain: clutter && tabulateByClutter(gainAmong),
    statisticalDb: isStatistical(model)
      ? tabulate(reachKm, (distanceM) => computeStatisticalCpeDb(model, distanceM, frequencyGhz))
      : null,
    calibrationDb: model.calibration?.validation.applied
      ? PATH_CLASSES.map((sight) => tabulate(reachKm, (distanceM) => computePathCalibrationDb(model, sight, distanceM)))
      : null,
  };
}

/** Loss rasters as cells of the area's window find them; they are as fine or coarser. */
function buildLossLayer(loss: DiscLoss | null, own: LatticeWindow | undefined, area: LatticeWindow): LossLayer | null {
  if (loss === null || own === undefined || own.zoom > area.zoom) return null;
  const shift = area.zoom - own.zoom;
  const scale = 2 ** shift;
  const world = countWorldCells(area.zoom);
  const apart = area.col0 - own.col0 * scale;
  const middle = (own.width * scale - area.width) / 2;
  return {
    rasters: loss.rasters,
    window: own,
    shift,
    columnOffset: apart - Math.round((apart - middle) / world) * world,
    rowOffset: area.row0 - own.row0 * scale,
  };
}

function buildSourceLayers(
  { request, mastOfSource }: LayerInput,
  transmitters: Transmitter[],
  ports: 1 | 2,
): SourceLayer[] {
  return transmitters.map(({ pattern, pointing, feed, baseDbm, frequencyGhz }, source) => ({
    mast: mastOfSource[source],
    tables: bakeTables(pattern, keyFeed(feed), createReceivedGain(pattern, feed), ports),
    frame: createFrame(pointing),
    fill: listScatterByClass(request, pattern),
    baseMw: toMilliwatts(
      baseDbm -
        computeFreeSpaceLossDb(1000, frequencyGhz) -
        findSectorBiasDb(request.model, request.sectors[source]?.id),
    ),
  }));
}

function buildCpeLayer(
  { request, masts }: LayerInput,
  cpe: AntennaPattern,
  ports: 1 | 2,
): Pick<LayerJob, "cpeTables" | "cpeFill" | "cpeScale"> {
  return {
    cpeTables: isOneSite(request, masts) ? [] : bakeTables(cpe, "own ports", cpe.gainDbi, ports),
    cpeFill: listScatterByClass(request, cpe),
    cpeScale: toRatio(request.cpe.pointingLossDb - cpe.peakGainDbi),
  };
}

/**
 * Returns the part of a feed that the gain toward a port depends on: two chains reach either port alike, however they
 * are turned.
 */
function keyFeed(feed: Feed): string {
  return feed.chains === 2 ? "own ports" : JSON.stringify(feed);
}

/**
 * Tables of patterns that are in use, by the way they are fed: every job and sector with the same pattern shares them.
 */
const tables = new WeakMap<AntennaPattern, Map<string, GainTable>>();

function bakeTables(pattern: AntennaPattern, feed: string, gainOf: GainOf, ports: 1 | 2): GainTable[] {
  const known = tables.get(pattern) ?? new Map<string, GainTable>();
  tables.set(pattern, known);
  return Array.from({ length: ports }, (_, port) => {
    const key = `${feed} ${port}`;
    const table = known.get(key) ?? bakeGainTable(gainOf, port as Port);
    known.set(key, table);
    return table;
  });
}

/** Returns the scattering of obstacles by class of the path, linear; a path that is not known counts as clear. */
function listScatterByClass({ model }: CoverageRequest, pattern: AntennaPattern): Float64Array {
  const fill = new Float64Array(256).fill(computeScatteredGain(model, pattern, "clear"));
  for (const sight of ["grazing", "blocked"] as const) {
    fill[CELL_CLASS[sight]] = computeScatteredGain(model, pattern, sight);
  }
  return fill;
}

/** Rows ahead, right and up of the rotation that `toAntennaFrame` makes, on east, north and up. */
export function createFrame({ azimuthDeg, downtiltDeg, rollDeg = 0 }: Pointing): Float64Array {
  const [sinA, cosA] = [Math.sin(azimuthDeg * RAD_PER_DEG), Math.cos(azimuthDeg * RAD_PER_DEG)];
  const [sinT, cosT] = [Math.sin(downtiltDeg * RAD_PER_DEG), Math.cos(downtiltDeg * RAD_PER_DEG)];
  const [sinR, cosR] = [Math.sin(rollDeg * RAD_PER_DEG), Math.cos(rollDeg * RAD_PER_DEG)];
  const ahead = [sinA * cosT, cosA * cosT, -sinT];
  const up = [sinA * sinT, cosA * sinT, cosT];
  const right = [cosA, -sinA, 0];
  const turned = (a: number, b: number) => right.map((value, axis) => value * a + up[axis] * b);
  return Float64Array.of(...ahead, ...turned(cosR, -sinR), ...turned(sinR, cosR));
}

function buildSectorLayer(input: LayerInput, index: number): SectorLayer {
  const { request, links } = input;
  const { down, up, frequencyGhz, rates } = links[index];
  const noise = input.noise[index];
  const overlap = findChannelOverlap(request, index);
  const meanShare = meanShares(overlap);
  const isSteady = overlap.baseOnDown.every((on, source) => on === 0 || on === 1 || meanShare[source] === 0);
  return {
    freeSpaceDb: computeFreeSpaceLossDb(1000, frequencyGhz),
    upMinusDownDb: up.baseDbm - down.baseDbm,
    upPerDown: toRatio(up.baseDbm - down.baseDbm),
    noiseDownMw: toMilliwatts(down.noiseDbm),
    noiseDownDbm: down.noiseDbm,
    noiseUpDbm: noise.meanDbm,
    isEndLossy: hasEndClutterLoss(links[index]),
    fade: tabulateFade(request.model, frequencyGhz, request.area.radiusM / 1000),
    activity: isSteady ? null : overlap.baseOnDown,
    down: listStreamRates(rates),
    up: noise.up,
    isSingleStream: rates.streams === 1,
  };
}

/** Shares of power, mean over the downlink time. */
function meanShares({ shareDown, baseOnDown }: Overlap): Float64Array {
  return shareDown.map((own, source) => own * baseOnDown[source]);
}
