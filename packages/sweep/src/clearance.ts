import { CLEAR_FRESNEL_SHARE } from "@fellmark/propagation";
import type { Horizon, MastConstants } from "./radial-state.ts";

/** nu^2 where 60 % of the first Fresnel zone is free: nu = -0.6 sqrt(2). */
export const CLEAR_NU2 = 2 * CLEAR_FRESNEL_SHARE ** 2;

/** A sight line over the samples 1..samples of a radial, in the flat frame. */
export interface SightLine {
  /** Length, steps. */
  x: number;
  samples: number;
  slope: number;
  /** Heights of the mast's and the CPE's horizon over it, as slopes; negative in line of sight. */
  a: number;
  b: number;
}

/** nu^2 of sample j against a sight line that clears it. Source: ITU-R P.526-15 eq (26). */
function computeNuSquared(radial: Horizon, mast: MastConstants, { x, slope }: SightLine, j: number): number {
  const clearanceM = radial.flat[j] - mast.antennaAmslM - slope * j;
  return (mast.nuScale * clearanceM * clearanceM * x) / (j * (x - j));
}

/**
 * Least nu^2 over the samples of a path in line of sight, or CLEAR_NU2 when none is less; exact.
 * Only samples with j < CLEAR_NU2 / (nuScale a^2) and x - j < CLEAR_NU2 / (nuScale b^2) can be nearer, and of those
 * only the ones under a hull edge that itself comes near enough.
 */
export function findLeastNuSquared(radial: Horizon, mast: MastConstants, line: SightLine): number {
  const { hullLeft } = radial;
  const { x, samples, a, b } = line;
  const first = Math.max(1, Math.ceil(x - CLEAR_NU2 / (mast.nuScale * b * b)));
  const last = Math.min(samples, Math.floor(CLEAR_NU2 / (mast.nuScale * a * a)));
  let best = CLEAR_NU2;
  if (first > last) return best;
  for (let right = samples; right >= first; right = hullLeft[right]) {
    const left = hullLeft[right];
    if (left > last) continue;
    if (right <= last) best = Math.min(best, computeNuSquared(radial, mast, line, right));
    const from = Math.max(first, left + 1);
    const to = Math.min(last, right - 1);
    if (from > to || boundNuSquared(radial, mast, line, right) >= best) continue;
    best = findLeastOfSamples(radial, mast, line, from, to, best);
  }
  return best;
}

/** The lesser of `findBest` and nu^2 of the samples from..to; divides only where a sample is better. */
function findLeastOfSamples(
  { flat }: Horizon,
  { nuScale, antennaAmslM }: MastConstants,
  { x, slope }: SightLine,
  from: number,
  to: number,
  best: number,
): number {
  const scale = nuScale * x;
  let least = best;
  for (let j = from; j <= to; j++) {
    const clearanceM = flat[j] - antennaAmslM - slope * j;
    const scaled = scale * clearanceM * clearanceM;
    const weight = j * (x - j);
    if (scaled < least * weight) least = scaled / weight;
  }
  return least;
}

/**
 * Lower bound of nu^2 of all samples under the hull edge that ends at vertex `right`: they lie no nearer than the edge,
 * and a straight edge with clearances c0 and cD at the ends of the path has nu^2 >= 4 c0 cD nuScale / x, touched at
 * j = x c0 / (c0 + cD); where that point lies outside the edge, the nearer end of the edge bounds it.
 */
function boundNuSquared(radial: Horizon, mast: MastConstants, line: SightLine, right: number): number {
  const { x } = line;
  const left = radial.hullLeft[right];
  const slope = radial.hullSlope[right] - line.slope;
  const atMast = radial.flat[right] - mast.antennaAmslM - line.slope * right - slope * right;
  const atCpe = atMast + slope * x;
  if (atMast < 0 && atCpe < 0) {
    const touching = (x * atMast) / (atMast + atCpe);
    if (touching > left && touching < right) return (4 * atMast * atCpe * mast.nuScale) / x;
  }
  return Math.min(computeNuSquared(radial, mast, line, left), computeNuSquared(radial, mast, line, right));
}
