import { complementaryNormal } from "@fellmark/propagation";
import { dbFromRatio } from "@fellmark/units";
import type { LayerJob } from "./layer-job.ts";
import type { Row } from "./row.ts";

/**
 * Probability that the cheapest plan holds both ways in a cell: Phi((margin - fade) / sigma) of the weaker direction,
 * all interference at its mean. The margin is how far the signal may fall; interference of the server's own site, which
 * comes the same way, falls with it.
 */
export function planProbability(job: LayerJob, row: Row, column: number, fadeDb: number, sigmaDb: number): number {
  const margin = Math.min(downMargin(job, row, column), upMargin(job, row, column));
  if (!(margin > 0)) return 0;
  return complementaryNormal((fadeDb - dbFromRatio(margin)) / sigmaDb);
}

/** Through both streams by the worse port, or through one by the better; linear. */
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
  return Math.max(both, single);
}

function portMargin(job: LayerJob, row: Row, column: number, port: number, leastSinr: number): number {
  const server = row.server[column];
  const noiseMw = job.sectors[server].noiseDownMw + row.otherSitesMw[port][column] + row.emittersMw[port][column];
  const usefulMw = row.levelMw[port][server][column] - leastSinr * row.ownSiteMw[port][column];
  return usefulMw / (leastSinr * noiseMw);
}

function upMargin(job: LayerJob, row: Row, column: number): number {
  const server = row.server[column];
  const { upPerDown, least } = job.sectors[server];
  const weakerMw = Math.min(row.levelMw[0][server][column], row.levelMw[job.ports - 1][server][column]);
  return (weakerMw * upPerDown) / least.upMw;
}
