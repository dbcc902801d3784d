import { AT, type MastConstants, type RadialState } from "./radial-state.ts";

/** nu^2 where 60 % of the first Fresnel zone is free: nu = -0.6 sqrt(2). */
export const CLEAR_NU2 = 0.72;

/** nu^2 of sample j against a sight line that clears it. Source: ITU-R P.526-15 eq (26). */
function nuSquaredAt(radial: RadialState, mast: MastConstants, j: number): number {
  const x = radial.scalars[AT.range];
  const clearanceM = radial.flat[j] - mast.antennaAmslM - radial.scalars[AT.slope] * j;
  return (mast.nuScale * clearanceM * clearanceM * x) / (j * (x - j));
}

/**
 * Least nu^2 over the samples 1..samples of a path in line of sight, or CLEAR_NU2 when none is less; exact.
 * Only samples with j < CLEAR_NU2 / (nuScale a^2) and x - j < CLEAR_NU2 / (nuScale b^2) can be nearer (a and b being
 * the slopes by which both horizons stay under the sight line), and of those only the ones under a hull edge that
 * itself comes near enough.
 */
export function leastNuSquared(radial: RadialState, mast: MastConstants, top: number, samples: number): number {
  const { hullAt, scalars } = radial;
  const x = scalars[AT.range];
  const a = scalars[AT.mastExcess];
  const b = scalars[AT.kitExcess];
  const first = Math.max(1, Math.ceil(x - CLEAR_NU2 / (mast.nuScale * b * b)));
  const last = Math.min(samples, Math.floor(CLEAR_NU2 / (mast.nuScale * a * a)));
  let best = CLEAR_NU2;
  for (let vertex = first <= last ? top : -1; vertex >= 0; vertex--) {
    const right = hullAt[vertex];
    if (right < first) break;
    const left = vertex > 0 ? hullAt[vertex - 1] : right;
    if (left > last) continue;
    if (right <= last) best = Math.min(best, nuSquaredAt(radial, mast, right));
    const from = Math.max(first, left + 1);
    const to = Math.min(last, right - 1);
    if (from > to || nuSquaredUnderEdge(radial, mast, vertex, left, right) >= best) continue;
    best = leastOfSamples(radial, mast, from, to, best);
  }
  return best;
}

/** The lesser of `best` and nu^2 of the samples from..to; divides only where a sample is better. */
function leastOfSamples(radial: RadialState, mast: MastConstants, from: number, to: number, best: number): number {
  const { flat, scalars } = radial;
  const x = scalars[AT.range];
  const slope = scalars[AT.slope];
  const scale = mast.nuScale * x;
  const { antennaAmslM } = mast;
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
 * Lower bound of nu^2 of all samples under the hull edge that ends at `vertex`: they lie no nearer than the edge, and
 * a straight edge with clearances c0 and cD at the ends of the path has nu^2 >= 4 c0 cD nuScale / x, touched at
 * j = x c0 / (c0 + cD); where that point lies outside the edge, the nearer end of the edge bounds it.
 */
function nuSquaredUnderEdge(
  radial: RadialState,
  mast: MastConstants,
  vertex: number,
  left: number,
  right: number,
): number {
  const x = radial.scalars[AT.range];
  const sight = radial.scalars[AT.slope];
  const slope = radial.hullSlope[vertex] - sight;
  const atMast = radial.hullHeight[vertex] - mast.antennaAmslM - sight * right - slope * right;
  const atKit = atMast + slope * x;
  if (atMast < 0 && atKit < 0) {
    const touching = (x * atMast) / (atMast + atKit);
    if (touching > left && touching < right) return (4 * atMast * atKit * mast.nuScale) / x;
  }
  return Math.min(nuSquaredAt(radial, mast, left), nuSquaredAt(radial, mast, right));
}
