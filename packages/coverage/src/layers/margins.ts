import { isKnownCode } from "../clutter/clutter-code.ts";
import { atDistance } from "./distance-table.ts";
import type { LayerJob } from "./layer-job.ts";
import type { Row } from "./row.ts";

/** Place in `sigmaDb` of what is not known to stand on the ground. */
const UNKNOWN_CLUTTER = 3;

/** Margin of a cell's link to a sector against fading, dB. */
export function fadeDbAt(job: LayerJob, row: Row, column: number, sector: number): number {
  return atDistance(job.sectors[sector].fadeDb, row.paths[job.sources[sector].mast].distanceKm[column]);
}

/** Spread of what is predicted of that link, dB. */
export function sigmaDbAt(job: LayerJob, row: Row, column: number, sector: number): number {
  const isUnknown = job.clutter !== null && !isKnownCode(row.clutter[column]);
  return job.sigmaDb[isUnknown ? UNKNOWN_CLUTTER : row.paths[job.sources[sector].mast].cellClass[column]];
}
