import { CELL_CLASS } from "@fellmark/sweep";
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

/**
 * Spread of the predicted path from a mast, dB: that of a blocked path at least where clutter costs anything at either
 * end. A path that is not known counts as clear.
 */
export function findSigmaDb(job: LayerJob, row: Row, column: number, mast: number): number {
  const isUnknown = job.clutter !== null && !isKnownCode(row.clutter[column]);
  if (isUnknown) return job.sigmaDb[UNKNOWN_CLUTTER];
  const { clutterGain, statisticalDb, isEmitter, sources } = job.masts[mast];
  const isEndLossy = !isEmitter && job.sectors[sources[0]].isEndLossy;
  const isLossy =
    isEndLossy || statisticalDb !== null || (clutterGain !== null && clutterGain[row.clutter[column]] < 1);
  const sight = row.paths[mast].cellClass[column];
  const sigmaDb = job.sigmaDb[sight > BLOCKED ? CELL_CLASS.clear : sight];
  return isLossy ? Math.max(sigmaDb, job.sigmaDb[BLOCKED]) : sigmaDb;
}
