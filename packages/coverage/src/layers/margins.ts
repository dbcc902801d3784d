import { isKnownCode } from "../clutter/clutter-code.ts";
import { readFadeDb } from "./fade-table.ts";
import type { LayerJob } from "./layer-job.ts";
import type { Row } from "./row.ts";

/** Place in `computeSigmaDb` of a blocked path, and of a cell with nothing known on it. */
const BLOCKED = 2;
const UNKNOWN_CLUTTER = 3;

/** Margin of a cell's link to a sector against fading, dB. */
export function findFadeDb(job: LayerJob, row: Row, column: number, sector: number): number {
  const { mast } = job.sources[sector];
  const { distanceKm, outUp, backUp } = row.paths[mast];
  return readFadeDb(job.sectors[sector].fade, {
    distanceKm: distanceKm[column],
    departureSine: outUp[column],
    arrivalSine: backUp[column],
    mastAmslM: job.masts[mast].antennaAmslM,
  });
}

/** Spread of the predicted link, dB: that of a blocked path at least where clutter costs anything at either end. */
export function findSigmaDb(job: LayerJob, row: Row, column: number, sector: number): number {
  const isUnknown = job.clutter !== null && !isKnownCode(row.clutter[column]);
  if (isUnknown) return job.sigmaDb[UNKNOWN_CLUTTER];
  const { mast } = job.sources[sector];
  const { clutterGain } = job.masts[mast];
  const isLossy = job.sectors[sector].isEndLossy || (clutterGain !== null && clutterGain[row.clutter[column]] < 1);
  const sigmaDb = job.sigmaDb[row.paths[mast].cellClass[column]];
  return isLossy ? Math.max(sigmaDb, job.sigmaDb[BLOCKED]) : sigmaDb;
}
