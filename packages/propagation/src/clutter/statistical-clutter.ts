import { computeInverseComplementaryNormal } from "../statistics/normal.ts";

/** Least distance that the statistic is stated for, m; nearer places have its loss. */
const STATISTICAL_CLUTTER_LEAST_M = 250;

/** Distance beyond which the loss no longer grows, m. */
const GREATEST_DISTANCE_M = 2000;

/**
 * Clutter loss at one end of a path in built-up country, dB, not exceeded at a share of places: a statistic for
 * antennas well below the roofs, so not for a mount on a roof, which has its own line.
 * @param locationShare 0 to 1, exclusive; 0.5 is the median.
 * Source: ITU-R P.2108-1, section 3.2, eqs (3) to (6), with the limit at the 2 km value.
 * Valid for: 0.5 to 67 GHz, 250 m and more; for one end below 1 km, for both ends from there. The formula itself runs
 * to minus infinity at no distance, and 0 dB under 250 m would cut a hole of good reception around a mast. Nearer
 * places therefore have the loss at 250 m: more than they may have, without a step.
 * Example: 2 GHz, 1 km, median: 27.867 dB.
 */
export function computeStatisticalClutterLossDb(
  distanceM: number,
  frequencyGhz: number,
  locationShare: number,
): number {
  const heldM = Math.max(distanceM, STATISTICAL_CLUTTER_LEAST_M);
  const here = computeLossAtDistanceDb(heldM, frequencyGhz, locationShare);
  return Math.min(here, computeLossAtDistanceDb(GREATEST_DISTANCE_M, frequencyGhz, locationShare));
}

/** Eqs (3) to (5): two components, Ll and Ls with deviations 4 and 6 dB, joined in the fifth root of power. */
function computeLossAtDistanceDb(distanceM: number, f: number, locationShare: number): number {
  const ll = -2 * Math.log10(10 ** (-5 * Math.log10(f) - 12.5) + 10 ** -16.5);
  const ls = 32.98 + 23.9 * Math.log10(distanceM / 1000) + 3 * Math.log10(f);
  const [weightL, weightS] = [10 ** (-0.2 * ll), 10 ** (-0.2 * ls)];
  const deviation = Math.sqrt((16 * weightL + 36 * weightS) / (weightL + weightS));
  return -5 * Math.log10(weightL + weightS) - deviation * computeInverseComplementaryNormal(locationShare);
}
