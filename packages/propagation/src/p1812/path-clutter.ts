import type { EndClutterClass } from "../clutter/end-clutter.ts";

/**
 * Height of a class of clutter as an obstacle on a path, m: 0 on open land and water, where the height of CLUTTER_ROWS
 * is a parameter of the end clutter's eq (2b).
 * Source: ITU-R P.1812-6, section 3.2, table 2, from memory, but for dense-urban also as its validation profiles have
 * them; "unknown" is an own choice.
 */
export const PATH_CLUTTER_HEIGHT_M: Readonly<Record<EndClutterClass, number>> = {
  unknown: 0,
  open: 0,
  water: 0,
  suburban: 10,
  urban: 15,
  "dense-urban": 20,
  trees: 15,
};

/** Points of a profile that get their clutter: all but the two ends, or only those 50 m or more from both ends. */
export type PathClutterRule = "interior" | "beyond-50-m";

/** Distance from an end within which P.452 counts no clutter, m. Source: ITU-R P.452-18, Annex 1, section 3.2.1. */
const BARE_END_M = 50;

/** Distances are often sums of decimal fractions: 5000 - 4950 may come out a little under 50. */
const DISTANCE_SLACK_M = 1e-6;

/**
 * Heights that rays must pass, m above sea level: the ground, raised by the clutter where the rule counts it.
 * Source: ITU-R P.1812-6, section 3.2.1, eqs (1c), (1d) ("interior"); P.452-18, Annex 1, section 3.2.1
 * ("beyond-50-m", where a point at exactly 50 m keeps its clutter).
 * @param clutterHeightM representative height of the clutter at each point, m.
 * Example: ground 0 m and clutter 10 m at 0, 40, 1000 m: 0, 10, 0 by "interior", 0, 0, 0 by "beyond-50-m".
 */
export function raiseByPathClutter(
  distanceM: Float64Array,
  bareAmslM: Float64Array,
  clutterHeightM: ArrayLike<number>,
  rule: PathClutterRule,
): Float64Array {
  const last = distanceM.length - 1;
  const bareEndM = rule === "interior" ? 0 : BARE_END_M - DISTANCE_SLACK_M;
  return bareAmslM.map((groundM, i) => {
    const fromEndM = Math.min(distanceM[i], distanceM[last] - distanceM[i]);
    return fromEndM > bareEndM ? groundM + clutterHeightM[i] : groundM;
  });
}
