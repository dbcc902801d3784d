import { computeDownMargin, computeHoldProbability, selectStreams } from "../link/link-physics.ts";
import type { LayerJob } from "./layer-job.ts";
import { sumSteadyMw } from "./rate-down.ts";
import type { Row } from "./row.ts";

/** Probability that the cheapest plan holds both ways in a cell, that of its weaker direction; interference at its mean. */
export function planProbability(job: LayerJob, row: Row, column: number, fadeDb: number, sigmaDb: number): number {
  const margin = Math.min(computeDownPortMargin(job, row, column), computeUpMargin(job, row, column));
  return computeHoldProbability(margin, fadeDb, sigmaDb);
}

function computeDownPortMargin(job: LayerJob, row: Row, column: number): number {
  const { least } = job.sectors[row.server[column]];
  const both = Math.min(
    computePortMargin(job, row, column, 0, least.sinr),
    computePortMargin(job, row, column, job.ports - 1, least.sinr),
  );
  if (job.ports === 1) return both;
  const single = Math.max(
    computePortMargin(job, row, column, 0, least.singleSinr),
    computePortMargin(job, row, column, 1, least.singleSinr),
  );
  return selectStreams(both, single);
}

function computePortMargin(job: LayerJob, row: Row, column: number, port: number, leastSinr: number): number {
  const signalMw = row.levelMw[port][row.server[column]][column];
  return computeDownMargin(signalMw, sumSteadyMw(job, row, column, port), row.ownSiteMw[port][column], leastSinr);
}

function computeUpMargin({ sectors, ports }: LayerJob, { levelMw, server }: Row, column: number): number {
  const { least, upPerDown } = sectors[server[column]];
  const firstMw = levelMw[0][server[column]][column] * upPerDown;
  const lastMw = levelMw[ports - 1][server[column]][column] * upPerDown;
  return selectStreams(Math.min(firstMw, lastMw) / least.upMw, Math.max(firstMw, lastMw) / least.singleUpMw);
}
