import { toAntennaFrame } from "@fellmark/antenna";
import {
  findGeodesic,
  type LatticeWindow,
  type LonLat,
  toLatitudeDeg,
  toLatticeColumn,
  toLatticeRow,
  toLongitudeDeg,
} from "@fellmark/geodesy";
import { computeFreeSpaceLossDb, computeGasAttenuationDbPerKm, type PathClass } from "@fellmark/propagation";
import type { RateThresholds } from "@fellmark/radio";
import { CELL_CLASS } from "@fellmark/sweep";
import { CLUTTER_KINDS } from "@fellmark/terrain";
import { toDb, toMilliwatts, toRatio } from "@fellmark/units";
import { findBestPlan } from "../../link/best-plan.ts";
import { computePathCalibrationDb, findSectorBiasDb } from "../../link/calibration.ts";
import { computeStatisticalCpeDb, endClutterDb, isClutterStated, isStatistical } from "../../link/end-clutter.ts";
import { computeLinkFadeDb, findCpeAmslM } from "../../link/fade.ts";
import { computeMoments } from "../../link/interference-spread.ts";
import {
  computeConfidenceFactor,
  findErrorSigmaDb,
  hasEndClutterLoss,
  type LinkBudget,
} from "../../link/link-budget.ts";
import {
  computeDiscrimination,
  computeHoldProbability,
  computeKeptShare,
  computeSinr,
  countReached,
} from "../../link/link-physics.ts";
import { findChannelOverlap } from "../../link/overlap.ts";
import { createReceivedGain } from "../../link/received-pattern.ts";
import { computeScatteredGain, isSplit, listTransmitters, type Transmitter } from "../../link/transmitters.ts";
import type { DiscLoss } from "../../loss/mast-loss.ts";
import type { LayerInput } from "../build-layer-job.ts";

/** One path from a mast to a cell, from the drawn rasters and the geodesic. */
interface PlainPath {
  distanceM: number;
  azimuthDeg: number;
  backAzimuthDeg: number;
  departureDeg: number;
  arrivalDeg: number;
  sight: PathClass;
  excessDb: number;
  isKnown: boolean;
  mayServe: boolean;
}

/** Values that a cell of the map must hold, each by its plain formula; null: nothing serves it. */
export interface PlainCell {
  server: number;
  second: number;
  /** Level of the server and of the next, dBm over all ports: where they are near each other either may serve. */
  leadDb: number;
  lossDb: number;
  signalDownDbm: number;
  signalUpDbm: number;
  sinrDownDb: number;
  sinrUpDb: number;
  ownSiteMw: number;
  otherSitesMw: number;
  emittersMw: number;
  /** Difference of the ports' SINR, dB: where they are alike either may be reported. */
  portsApartDb: number;
  rates(slackDb: number): { downMbps: number; upMbps: number; tier: number };
  probability: number;
}

/** The parts of a network that all cells share. */
export interface PlainNetwork {
  input: LayerInput;
  transmitters: Transmitter[];
  ports: (0 | 1)[];
}

export function buildPlainNetwork(input: LayerInput): PlainNetwork {
  const { request, patterns, links } = input;
  const transmitters = listTransmitters(request, patterns, links);
  const cpe = patterns.get(request.cpe.antenna, links[0].frequencyGhz);
  return { input, transmitters, ports: isSplit(transmitters, cpe) ? [0, 1] : [0] };
}

export function computePlainCell(network: PlainNetwork, column: number, row: number): PlainCell | null {
  const { input, transmitters } = network;
  const { window } = input;
  const at = { column, row, ...findCentre(window, column, row) };
  const pathOf = input.masts.map((_, mast) => findPlainPath(input, mast, at));
  const paths = input.mastOfSource.map((mast) => pathOf[mast]);
  const levels = transmitters.map((_, source) =>
    computePortLevels(network, source, paths[source], readClutter(input, at)),
  );
  const order = input.links
    .map((_, sector) => ({ sector, levelMw: levels[sector].reduce((sum, mw) => sum + mw, 0) }))
    .filter(({ sector, levelMw }) => paths[sector]?.mayServe && levelMw > 0)
    .sort((a, b) => b.levelMw - a.levelMw);
  const [best, next, third] = order;
  if (!best) return null;
  const served = serve(network, best.sector, paths, levels, readClutter(input, at));
  const leads = [next && best.levelMw / next.levelMw, third && next && next.levelMw / third.levelMw];
  return {
    ...served,
    server: best.sector,
    second: next?.sector ?? -1,
    leadDb: Math.min(...leads.map((lead) => (lead ? toDb(lead) : 99))),
  };
}

interface CellPlace extends LonLat {
  column: number;
  row: number;
}

function findCentre({ col0, row0, zoom }: LatticeWindow, column: number, row: number): LonLat {
  return { lon: toLongitudeDeg(col0 + column + 0.5, zoom), lat: toLatitudeDeg(row0 + row + 0.5, zoom) };
}

/** The cell of a raster in which a place lies, or null where the raster does not answer it. */
function lookUp(loss: DiscLoss | null, window: LatticeWindow | undefined, { lon, lat }: LonLat): number | null {
  if (loss === null || window === undefined) return null;
  const column = Math.floor(toLatticeColumn(lon, window.zoom)) - window.col0;
  const row = Math.floor(toLatticeRow(lat, window.zoom)) - window.row0;
  if (column < 0 || row < 0 || column >= window.width || row >= window.height) return null;
  const cell = row * window.width + column;
  return loss.rasters.cellClass[cell] === CELL_CLASS.outside ? null : cell;
}

function findPlainPath(input: LayerInput, number: number, at: CellPlace): PlainPath | null {
  const { masts, losses, request } = input;
  const isEmitters = input.mastOfSource.indexOf(number) >= request.sectors.length;
  const mast = masts[number];
  const isInArea = masts.some((other, index) => {
    const isOwn = input.mastOfSource.indexOf(index) < request.sectors.length;
    return isOwn && lookUp(losses[index].near, other.near?.window, at) !== null;
  });
  const nearCell = lookUp(losses[number].near, mast.near?.window, at);
  const farCell = lookUp(losses[number].far, mast.far?.window, at);
  const cell = nearCell ?? farCell;
  const disc = nearCell === null ? losses[number].far : losses[number].near;
  if (!isInArea || cell === null || disc === null) return null;
  const { rasters } = disc;
  const line = findGeodesic(mast.site, at);
  const isKnown = rasters.cellClass[cell] !== CELL_CLASS.notKnown;
  return {
    distanceM: line.distanceM,
    azimuthDeg: line.azimuthDeg ?? 0,
    backAzimuthDeg: line.backAzimuthDeg ?? 0,
    departureDeg: rasters.raysCdeg[2 * cell] / 100,
    arrivalDeg: rasters.raysCdeg[2 * cell + 1] / 100,
    sight: isKnown ? (["clear", "grazing", "blocked"] as const)[rasters.cellClass[cell]] : "clear",
    excessDb: isKnown ? rasters.excessDb[cell] : 0,
    isKnown,
    mayServe: !isEmitters && nearCell !== null && isKnown && line.distanceM <= request.area.radiusM,
  };
}

/** Returns the clutter on a cell: kind and height; null where no raster tells it. */
function readClutter({ clutter, window }: LayerInput, { column, row }: CellPlace) {
  if (clutter === null) return null;
  const code = clutter[row * window.width + column];
  const number = code >> 9;
  const isMeasured = number >= CLUTTER_KINDS.length;
  return { kind: CLUTTER_KINDS[number % CLUTTER_KINDS.length], heightM: (code & 511) / 4, isMeasured };
}

type CellClutter = ReturnType<typeof readClutter>;

/** Loss beyond free space that the map shows: diffraction, slant, and what own links taught. */
function computeLossBeyondFreeDb({ request }: LayerInput, path: PlainPath): number {
  return path.isKnown ? path.excessDb + computePathCalibrationDb(request.model, path.sight, path.distanceM) : 0;
}

/** Level of a transmitter at each port of a CPE that is aimed at it, mW per chain. */
function computePortLevels(
  network: PlainNetwork,
  source: number,
  path: PlainPath | null,
  around: CellClutter,
): number[] {
  const { input, transmitters, ports } = network;
  const { model, cpe, sectors } = input.request;
  const { pattern, pointing, feed, baseDbm, frequencyGhz } = transmitters[source];
  if (path === null) return ports.map(() => 0);
  const sweepGhz = input.masts[input.mastOfSource[source]].frequencyGhz;
  const gasDb = model.gas ? (computeGasAttenuationDbPerKm(sweepGhz) * path.distanceM) / 1000 : 0;
  const clutterDb = around === null ? 0 : endClutterDb(model, around, cpe.heightAglM, sweepGhz);
  const statisticalDb = isStatistical(model) ? computeStatisticalCpeDb(model, path.distanceM, sweepGhz) : 0;
  const lossDb =
    computeFreeSpaceLossDb(path.distanceM, frequencyGhz) + computeLossBeyondFreeDb(input, path) + gasDb + clutterDb;
  const biasDb = findSectorBiasDb(model, sectors[source]?.id);
  const toward = toAntennaFrame(path.azimuthDeg, path.departureDeg, pointing);
  return ports.map((port) => {
    const gainDbi = createReceivedGain(pattern, feed)(toward.azimuthDeg, toward.elevationDeg, port);
    const gain = toRatio(gainDbi) + computeScatteredGain(model, pattern, path.sight);
    return toMilliwatts(baseDbm - lossDb - statisticalDb - biasDb + toDb(gain));
  });
}

/** Gain of a CPE aimed at one mast toward another over that at its aim. */
function computeCpeGain({ input }: PlainNetwork, aim: PlainPath, to: PlainPath, port: 0 | 1): number {
  const { cpe, model } = input.request;
  const pattern = input.patterns.get(cpe.antenna, input.links[0].frequencyGhz);
  const pointing = { azimuthDeg: aim.backAzimuthDeg, downtiltDeg: -aim.arrivalDeg };
  const seen = toAntennaFrame(to.backAzimuthDeg, to.arrivalDeg, pointing);
  const gain = toRatio(pattern.gainDbi(seen.azimuthDeg, seen.elevationDeg, port));
  const perGainAtAim = toRatio(cpe.pointingLossDb - pattern.peakGainDbi);
  return computeDiscrimination(gain, computeScatteredGain(model, pattern, to.sight), perGainAtAim);
}

interface PortSums {
  signalMw: number;
  noiseMw: number;
  ownSiteMw: number;
  otherSitesMw: number;
  emittersMw: number;
  /** Sources that are always on, by mast off the server's site, and the errors of their paths. */
  uncertain: { levelMw: number; sigmaDb: number }[];
  intermittent: { onMw: number; share: number; isOwnSite: boolean; sigmaDb: number }[];
}

function sumPort(
  network: PlainNetwork,
  server: number,
  paths: readonly (PlainPath | null)[],
  levels: readonly number[][],
  { port, around }: { port: 0 | 1; around: CellClutter },
): PortSums {
  const { request, mastOfSource, links, masts } = network.input;
  const overlap = findChannelOverlap(request, server);
  const siteOf = (source: number) => request.sectors[source]?.site ?? null;
  const onMast = new Map<number, { levelMw: number; sigmaDb: number }>();
  const sums: PortSums = {
    ...{ signalMw: levels[server][port], noiseMw: toMilliwatts(links[server].down.noiseDbm) },
    ...{ ownSiteMw: 0, otherSitesMw: 0, emittersMw: 0, uncertain: [], intermittent: [] },
  };
  for (const [source, path] of paths.entries()) {
    const share = overlap.baseOnDown[source];
    const isOwnSite = siteOf(source) === siteOf(server);
    if (source === server || path === null || share * overlap.shareDown[source] === 0) continue;
    const gain = isOwnSite ? 1 : computeCpeGain(network, paths[server] as PlainPath, path, port);
    const onMw = levels[source][port] * overlap.shareDown[source] * gain;
    if (isOwnSite) sums.ownSiteMw += onMw * share;
    else if (siteOf(source) === null) sums.emittersMw += onMw * share;
    else sums.otherSitesMw += onMw * share;
    const mast = mastOfSource[source];
    const sigmaDb = spreadOf(network, path, around, { ghz: masts[mast].frequencyGhz, link: links[source] });
    if (share < 1) sums.intermittent.push({ onMw, share, isOwnSite, sigmaDb });
    if (isOwnSite || share < 1) continue;
    onMast.set(mast, { levelMw: (onMast.get(mast)?.levelMw ?? 0) + onMw * share, sigmaDb });
  }
  const byMast = [...onMast].sort(([one], [other]) => one - other).map(([, level]) => level);
  return { ...sums, uncertain: byMast };
}

/** Spread of a path, dB. */
function spreadOf(
  { input: { request } }: PlainNetwork,
  path: PlainPath,
  around: CellClutter,
  { ghz, link }: { ghz: number; link: LinkBudget | undefined },
): number {
  const { model, cpe } = request;
  if (around?.kind === "unknown") return findErrorSigmaDb({ ...model, calibration: null }, path.sight, "unknown");
  const isAmong = around !== null && endClutterDb(model, around, cpe.heightAglM, ghz) > 0;
  const isLossy = isAmong || isStatistical(model) || (link !== undefined && hasEndClutterLoss(link));
  const clutter = !isClutterStated(model) ? "unknown" : isLossy ? "costs" : "free";
  return findErrorSigmaDb(model, path.sight, clutter);
}

/** Noise and interference with the errors of their paths, by the sums themselves and not by their table. */
function spreadNoise(noiseMw: number, paths: PortSums["uncertain"]): { meanDb: number; variance: number } {
  let [meanDb, variance] = [toDb(noiseMw), 0];
  for (const { levelMw, sigmaDb } of paths.filter((path) => path.levelMw > 0.003 * noiseMw)) {
    const moments = computeMoments(toDb(levelMw) - meanDb, Math.sqrt(variance + sigmaDb ** 2));
    meanDb += moments.meanDb;
    variance += moments.variance - 2 * variance * moments.slope;
  }
  return { meanDb, variance };
}

/** The states of a port's four strongest interferers that come and go, and the rate of any signal in each. */
function plainStates(port: PortSums, ownSigmaDb: number) {
  const { noiseMw, uncertain, intermittent } = port;
  const strongest = [...intermittent].sort((a, b) => b.onMw - a.onMw).slice(0, 4);
  const meanOf = (isOwnSite: boolean, list: PortSums["intermittent"]) =>
    list.reduce((sum, one) => sum + (one.isOwnSite === isOwnSite ? one.onMw * one.share : 0), 0);
  const restMw = meanOf(false, intermittent) - meanOf(false, strongest);
  const constantMw = port.otherSitesMw + port.emittersMw - meanOf(false, intermittent);
  return Array.from({ length: 2 ** strongest.length }, (_, state) => {
    const isOn = (index: number) => ((state >> index) & 1) === 1;
    const on = strongest.filter((_one, index) => isOn(index));
    const others = on.filter(({ isOwnSite }) => !isOwnSite);
    const paths = [...uncertain, ...others.map(({ onMw, sigmaDb }) => ({ levelMw: onMw, sigmaDb }))];
    const { meanDb, variance } = spreadNoise(noiseMw, paths);
    const plainMw = noiseMw + constantMw + others.reduce((sum, { onMw }) => sum + onMw, 0);
    const ownOnMw = on.reduce((sum, { onMw, isOwnSite }) => sum + (isOwnSite ? onMw : 0), 0);
    return {
      share: strongest.reduce((product, { share }, index) => product * (isOn(index) ? share : 1 - share), 1),
      steadyMw: Math.max(plainMw, variance === 0 ? 0 : toMilliwatts(meanDb)) + restMw,
      ownSiteMw: port.ownSiteMw - meanOf(true, strongest) + ownOnMw,
      sigmaDb: Math.sqrt(ownSigmaDb ** 2 + variance),
    };
  });
}

/** Mean rate of a port over its states, less its fade margin and so many sigmas. */
function plainRate(port: PortSums, ownSigmaDb: number, table: RateThresholds, fadeDb: number) {
  const states = plainStates(port, ownSigmaDb);
  return (sigmas: number) => {
    let mean = 0;
    for (const { share, steadyMw, ownSiteMw, sigmaDb } of states) {
      const kept = computeKeptShare(fadeDb, sigmas, sigmaDb);
      const sinrDb = toDb(computeSinr(port.signalMw, steadyMw, ownSiteMw, kept));
      mean += share * (table.netMbps.findLast((_, index) => sinrDb >= table.sinrDb[index]) ?? 0);
    }
    return mean;
  };
}

/** Greatest number of sigmas at which a rate still holds, found by trial. */
function plainReserve(rateAt: (sigmas: number) => number, mbps: number): number {
  let [held, lost] = [-10, 10];
  if (rateAt(held) < mbps) return Number.NEGATIVE_INFINITY;
  for (let step = 0; step < 40; step++) {
    const tried = (held + lost) / 2;
    if (rateAt(tried) >= mbps) held = tried;
    else lost = tried;
  }
  return held;
}

function serve(
  network: PlainNetwork,
  server: number,
  paths: readonly (PlainPath | null)[],
  levels: readonly number[][],
  around: CellClutter,
): Omit<PlainCell, "server" | "second" | "leadDb"> {
  const { input, ports } = network;
  const { request, links, noise } = input;
  const { model, plans } = request;
  const path = paths[server] as PlainPath;
  const link = links[server];
  const sweepGhz = input.masts[input.mastOfSource[server]].frequencyGhz;
  const sinrOf = ({ signalMw, noiseMw, otherSitesMw, emittersMw, ownSiteMw }: PortSums) =>
    computeSinr(signalMw, noiseMw + otherSitesMw + emittersMw, ownSiteMw, 1);
  const sums = ports.map((port) => sumPort(network, server, paths, levels, { port, around }));
  const [worse, better] = [...sums].sort((a, b) => sinrOf(a) - sinrOf(b));
  const sigmaDb = spreadOf(network, path, around, { ghz: sweepGhz, link });
  const { near, far } = input.losses[input.mastOfSource[server]];
  const mastAmslM = (near ?? far)?.terrain.mastAmslM ?? 0;
  const rays = { departureElevationDeg: path.departureDeg, arrivalElevationDeg: path.arrivalDeg, mastAmslM };
  const cpeAmslM = findCpeAmslM(model, { ...rays, distanceM: path.distanceM });
  const fadeDb = computeLinkFadeDb(model, {
    ...{ distanceM: path.distanceM, frequencyGhz: link.frequencyGhz },
    ...{ txAmslM: mastAmslM, rxAmslM: cpeAmslM },
  });
  const upPerDown = toRatio(link.up.baseDbm - link.down.baseDbm);
  const upMw = sums.map(({ signalMw }) => signalMw * upPerDown);
  const { up } = noise[server];
  const upSigmaDb = Math.sqrt(sigmaDb ** 2 + up.variance);
  const z = computeConfidenceFactor(model.confidence);
  const upRate = (slackDb: number) => (sigmas: number) => {
    const kept = computeKeptShare(fadeDb - slackDb, sigmas, upSigmaDb) / up.raise;
    return Math.max(
      up.all.mbps[countReached(up.all.levelMw, Math.min(...upMw) * kept)],
      up.single.mbps[countReached(up.single.levelMw, Math.max(...upMw) * kept)],
    );
  };
  const downRate = (slackDb: number) => {
    const ofAll = sums.map((port) => plainRate(port, sigmaDb, link.rates.down, fadeDb - slackDb));
    const ofSingle = sums.map((port) => plainRate(port, sigmaDb, link.rates.single.down, fadeDb - slackDb));
    return (sigmas: number) => {
      const all = Math.min(...ofAll.map((rate) => rate(sigmas)));
      return better ? Math.max(all, ...ofSingle.map((rate) => rate(sigmas))) : all;
    };
  };
  const rates = (slackDb: number) => {
    const [downMbps, upMbps] = [downRate(slackDb)(z), upRate(slackDb)(z)];
    return { downMbps, upMbps, tier: findBestPlan(plans, downMbps, upMbps) };
  };
  const cheapest = plans[plans.length - 1];
  const downReserve = plainReserve(downRate(0), cheapest.downMbps);
  const upReserve = plainReserve(upRate(0), cheapest.upMbps);
  const told = better && link.rates.streams === 1 ? better : worse;
  const signalDownDbm = toDb(told.signalMw);
  const gasDb = model.gas ? (computeGasAttenuationDbPerKm(sweepGhz) * path.distanceM) / 1000 : 0;
  return {
    lossDb: computeFreeSpaceLossDb(path.distanceM, link.frequencyGhz) + computeLossBeyondFreeDb(input, path) + gasDb,
    signalDownDbm,
    signalUpDbm: signalDownDbm + toDb(upPerDown),
    sinrDownDb: toDb(sinrOf(told)),
    sinrUpDb: signalDownDbm + toDb(upPerDown) - noise[server].meanDbm,
    ownSiteMw: told.ownSiteMw,
    otherSitesMw: told.otherSitesMw,
    emittersMw: told.emittersMw,
    portsApartDb: better ? toDb(sinrOf(better) / sinrOf(worse)) : 99,
    rates,
    probability: computeHoldProbability(Math.min(downReserve, upReserve)),
  };
}
