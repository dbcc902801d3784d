import type { RowPaths } from "./row-paths.ts";

export const NEPERS_PER_DB = Math.LN10 / 10;

/** What is known of one row of cells while it is being computed; every array holds one value a column. */
export interface Row {
  paths: RowPaths[];
  /** Per sector: received level per chain with the kit aimed at it, mW; 0 out of reach. */
  levelMw: Float64Array[];
  /** Number of the strongest sector whose path is known, NO_SECTOR where there is none; its level. */
  server: Int16Array;
  signalMw: Float64Array;
  /** Interference at the kit aimed at the server, mW: from the server's own mast, and from all others. */
  sameMastMw: Float64Array;
  otherMastsMw: Float64Array;
}

export const NO_SECTOR = -1;
