import { computePrescribedInverseNormal } from "./inverse-normal.ts";

/**
 * Weight of the strong-refraction end between the median (0) and beta0 % of the time (1): Fi.
 * Source: ITU-R P.1812-6, section 4.3.5, eqs (40a) to (40c). Valid for: 1 to 50 %.
 */
export function computeTimeInterpolationFactor(timePercent: number, beta0Percent: number): number {
  if (timePercent >= 50) return 0;
  if (timePercent <= beta0Percent) return 1;
  return computePrescribedInverseNormal(timePercent / 100) / computePrescribedInverseNormal(beta0Percent / 100);
}
