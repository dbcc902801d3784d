import { computeDownMargin, computeHoldProbability, computeUpSignal, selectStreams } from "../link/link-physics.ts";
import type { LayerJob } from "./layer-job.ts";
import { steadyMwAt } from "./rate-down.ts";
import type { Row } from "./row.ts";

/** Probability that the cheapest plan holds both ways in a cell, that of its weaker direction; interference at its mean. */
export function planProbability(job: LayerJob, row: Row, column: number, fadeDb: number, sigmaDb: number): number {
  const margin = Math.min(downMargin(job, row, column), upMargin(job, row, column));
  return computeHoldProbability(margin, fadeDb, sigmaDb);
}

function downMargin(job: LayerJob, row: Row, column: number): number {
  const { least } = job.sectors[row.server[column]];
  const both = Math.min(
    portMargin(job, row, column, 0, least.sinr),
    portMargin(job, row, column, job.ports - 1, least.sinr),
  );
  if (job.ports === 1) return both;
  const single = Math.max(
    portMargin(job, row, column, 0, least.singleSinr),
    portMargin(job, row, column, 1, least.singleSinr),
  );
  return selectStreams(both, single);
}

function portMargin(job: LayerJob, row: Row, column: number, port: number, leastSinr: number): number {
  const signalMw = row.levelMw[port][row.server[column]][column];
  return computeDownMargin(signalMw, steadyMwAt(job, row, column, port), row.ownSiteMw[port][column], leastSinr);
}

function upMargin(job: LayerJob, row: Row, column: number): number {
  const { least, upPerDown } = job.sectors[row.server[column]];
  return (upSignalMw(job, row, column) * upPerDown) / least.upMw;
}

/** Downlink level that the uplink goes by: the path is the same both ways. */
export function upSignalMw({ ports }: LayerJob, { levelMw, server }: Row, column: number): number {
  return computeUpSignal(levelMw[0][server[column]][column], levelMw[ports - 1][server[column]][column]);
}
