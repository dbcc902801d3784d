import { FOLLOWED_INTERFERERS, meanRateOverStates, rateIndex } from "../link/mean-rate.ts";
import type { LayerJob, SectorLayer } from "./layer-job.ts";
import type { Row } from "./row.ts";

/** Scratch: level while on and share of time of the strongest intermittent interferers. One thread, one cell at a time. */
const onMw = new Float64Array(FOLLOWED_INTERFERERS);
const onShare = new Float64Array(FOLLOWED_INTERFERERS);

/**
 * Net downlink rate of a cell, Mbit/s, after its signal has fallen by `margin` (linear); interference of the server's
 * own site, which comes the same way, falls with it. Both streams go by the worse port, or one by the better, whichever
 * gives more. Where interferers come and go it is the mean rate over the states of the strongest four.
 */
export function downRateMbps(job: LayerJob, row: Row, column: number, margin: number): number {
  const sector = job.sectors[row.server[column]];
  if (sector.activity === null) {
    const sinr = sinrOf(job, row, column, 0, margin);
    return rateAt(sector, sinr, job.ports === 1 ? sinr : sinrOf(job, row, column, 1, margin));
  }
  return meanRateMbps(job, row, column, margin, sector, sector.activity);
}

function sinrOf(job: LayerJob, row: Row, column: number, port: number, margin: number): number {
  const server = row.server[column];
  const signalMw = row.levelMw[port][server][column] * margin;
  return signalMw / steadyMw(job, row, column, port, margin);
}

/** Noise and mean interference. */
function steadyMw(job: LayerJob, row: Row, column: number, port: number, margin: number): number {
  const { noiseDownMw } = job.sectors[row.server[column]];
  const far = row.otherSitesMw[port][column] + row.emittersMw[port][column];
  return noiseDownMw + row.ownSiteMw[port][column] * margin + far;
}

function rateAt(sector: SectorLayer, first: number, last: number): number {
  const both = sector.downMbps[rateIndex(sector.rateSinr, Math.min(first, last))];
  if (first === last) return both;
  return Math.max(both, sector.singleMbps[rateIndex(sector.singleSinr, Math.max(first, last))]);
}

function meanRateMbps(
  job: LayerJob,
  row: Row,
  column: number,
  margin: number,
  sector: SectorLayer,
  activity: Float64Array,
): number {
  const { rateSinr, downMbps, singleSinr, singleMbps } = sector;
  const at = (port: number, thresholds: Float64Array, netMbps: Float64Array) =>
    meanRateAtPort(job, row, column, { margin, activity, port, thresholds, netMbps });
  if (job.ports === 1) return at(0, rateSinr, downMbps);
  const worse = sinrOf(job, row, column, 0, margin) <= sinrOf(job, row, column, 1, margin) ? 0 : 1;
  return Math.max(at(worse, rateSinr, downMbps), at(1 - worse, singleSinr, singleMbps));
}

interface PortRates {
  margin: number;
  activity: Float64Array;
  port: number;
  thresholds: Float64Array;
  netMbps: Float64Array;
}

function meanRateAtPort(job: LayerJob, row: Row, column: number, rates: PortRates): number {
  const { margin, activity, port, thresholds, netMbps } = rates;
  const followed = followStrongest(row.reachingMw[port], column, activity, ownSiteFactor(job, row, column, margin));
  const signalMw = row.levelMw[port][row.server[column]][column] * margin;
  let restMw = steadyMw(job, row, column, port, margin);
  for (let index = 0; index < followed; index++) restMw -= onMw[index] * onShare[index];
  return meanRateOverStates(signalMw, restMw, onMw, onShare, followed, thresholds, netMbps);
}

/** For each source: what the margin does to its level. */
function ownSiteFactor(job: LayerJob, row: Row, column: number, margin: number): (source: number) => number {
  const own = job.masts[job.sources[row.server[column]].mast].site;
  return (source) => (job.masts[job.sources[source].mast].site === own ? margin : 1);
}

/** Puts the strongest intermittent interferers of a cell into the scratch arrays; returns how many there are. */
function followStrongest(
  reachingMw: Float32Array[],
  column: number,
  activity: Float64Array,
  factorOf: (source: number) => number,
): number {
  let count = 0;
  for (let source = 0; source < activity.length; source++) {
    const share = activity[source];
    if (share <= 0 || share >= 1 || reachingMw[source][column] === 0) continue;
    const level = (reachingMw[source][column] / share) * factorOf(source);
    let place = count < FOLLOWED_INTERFERERS ? count++ : FOLLOWED_INTERFERERS;
    while (place > 0 && level > onMw[place - 1]) {
      if (place < FOLLOWED_INTERFERERS) {
        onMw[place] = onMw[place - 1];
        onShare[place] = onShare[place - 1];
      }
      place--;
    }
    if (place === FOLLOWED_INTERFERERS) continue;
    onMw[place] = level;
    onShare[place] = share;
  }
  return count;
}
