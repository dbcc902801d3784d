import { computeSinr, selectStreams } from "../link/link-physics.ts";
import { createFollowed, followInterferer, meanRateOverStates, rateIndex } from "../link/mean-rate.ts";
import type { LayerJob, SectorLayer } from "./layer-job.ts";
import type { Row } from "./row.ts";

/** Scratch: the strongest interferers of a cell that come and go. One thread, one cell at a time. */
const followed = createFollowed();

/**
 * Net downlink rate of a cell, Mbit/s, of whose signal a share is left. Both streams go by the worse port, or one by the
 * better, whichever gives more. Where interferers come and go it is the mean rate over the states of the strongest.
 */
export function computeDownRateMbps(job: LayerJob, row: Row, column: number, keptShare: number): number {
  const sector = job.sectors[row.server[column]];
  if (sector.activity === null) {
    const sinr = computeCellSinr(job, row, column, 0, keptShare);
    return meanRate(sector, sinr, job.ports === 1 ? sinr : computeCellSinr(job, row, column, 1, keptShare));
  }
  return meanRateMbps(job, row, column, keptShare, sector, sector.activity);
}

function computeCellSinr(job: LayerJob, row: Row, column: number, port: number, keptShare: number): number {
  const signalMw = row.levelMw[port][row.server[column]][column];
  return computeSinr(signalMw, sumSteadyMw(job, row, column, port), row.ownSiteMw[port][column], keptShare);
}

/** Noise and mean interference of all other sites. */
export function sumSteadyMw(job: LayerJob, row: Row, column: number, port: number): number {
  const { noiseDownMw } = job.sectors[row.server[column]];
  return noiseDownMw + row.otherSitesMw[port][column] + row.emittersMw[port][column];
}

function meanRate(sector: SectorLayer, first: number, last: number): number {
  const both = sector.downMbps[rateIndex(sector.rateSinr, Math.min(first, last))];
  if (first === last) return both;
  return selectStreams(both, sector.singleMbps[rateIndex(sector.singleSinr, Math.max(first, last))]);
}

function meanRateMbps(
  job: LayerJob,
  row: Row,
  column: number,
  keptShare: number,
  sector: SectorLayer,
  activity: Float64Array,
): number {
  const { rateSinr, downMbps, singleSinr, singleMbps } = sector;
  const at = (port: number, thresholds: Float64Array, netMbps: Float64Array) =>
    meanRateAtPort(job, row, column, { keptShare, activity, port, thresholds, netMbps });
  if (job.ports === 1) return at(0, rateSinr, downMbps);
  const worse =
    computeCellSinr(job, row, column, 0, keptShare) <= computeCellSinr(job, row, column, 1, keptShare) ? 0 : 1;
  return selectStreams(at(worse, rateSinr, downMbps), at(1 - worse, singleSinr, singleMbps));
}

interface PortRates {
  keptShare: number;
  activity: Float64Array;
  port: number;
  thresholds: Float64Array;
  netMbps: Float64Array;
}

function meanRateAtPort(job: LayerJob, row: Row, column: number, rates: PortRates): number {
  const { keptShare, activity, port, thresholds, netMbps } = rates;
  followStrongest(job, row, column, port, { activity, keptShare });
  const signalMw = row.levelMw[port][row.server[column]][column] * keptShare;
  const meanNoiseMw = sumSteadyMw(job, row, column, port) + row.ownSiteMw[port][column] * keptShare;
  return meanRateOverStates(signalMw, meanNoiseMw, followed, thresholds, netMbps);
}

/** Puts the strongest interferers of a cell that come and go into the scratch; those of the server's site fade with it. */
function followStrongest(
  job: LayerJob,
  row: Row,
  column: number,
  port: number,
  { activity, keptShare }: { activity: Float64Array; keptShare: number },
): void {
  const ownSite = job.masts[job.sources[row.server[column]].mast].site;
  const reachingMw = row.reachingMw[port];
  followed.count = 0;
  for (let source = 0; source < activity.length; source++) {
    const share = activity[source];
    if (share <= 0 || share >= 1 || reachingMw[source][column] === 0) continue;
    const isOwnSite = job.masts[job.sources[source].mast].site === ownSite;
    followInterferer(followed, (reachingMw[source][column] / share) * (isOwnSite ? keptShare : 1), share);
  }
}
