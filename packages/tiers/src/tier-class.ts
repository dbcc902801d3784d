/**
 * Values of a class raster besides 1..n, the n plans in order (1 is the best one), and n + 1..2n, the same
 * plans where a survey must come first.
 */
export const TIER_CLASS = {
  /** Known, and no plan holds: the lowest tier. */
  noService: 0,
  /** Open water on which no plan holds, for areas and pictures; traced as no service. */
  water: 253,
  /** Inside the area, but without elevation: neither yes nor no. */
  notKnown: 254,
  /** Outside the area. */
  outside: 255,
} as const;

/** Most plans that a class raster can hold. */
export const MAX_PLANS = 126;

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

/** A copy of the classes in which open water without service has a class of its own. */
export function markWaterCells(classes: Uint8Array, isWater: Uint8Array | null): Uint8Array {
  if (isWater === null) return classes;
  return classes.map((tier, cell) => (isWater[cell] === 1 && tier === TIER_CLASS.noService ? TIER_CLASS.water : tier));
}

/** A copy of the classes in which plans become survey-first where nothing is known to stand on the cell. */
export function markSurveyCells(classes: Uint8Array, isUnknown: Uint8Array | null, planCount: number): Uint8Array {
  if (isUnknown === null) return classes;
  return classes.map((tier, cell) =>
    isUnknown[cell] === 1 && tier >= 1 && tier <= planCount ? planCount + tier : tier,
  );
}
