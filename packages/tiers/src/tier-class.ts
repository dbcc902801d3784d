/** What a cell of a class raster holds besides 1..n, the n plans in order (1 is the best one). */
export const TIER_CLASS = {
  /** Known, and no plan holds: the lowest tier. */
  noService: 0,
  /** Inside the area, but without elevation: neither yes nor no. */
  notKnown: 254,
  /** Outside the area. */
  outside: 255,
} as const;

/** Most plans that a class raster can hold. */
export const MAX_PLANS = 253;

export interface TierPlan {
  id: string;
  downMbps: number;
  upMbps: number;
}

/** A raster of tier classes, row-major, north row first. */
export interface ClassGrid {
  width: number;
  height: number;
  classes: Uint8Array;
}
