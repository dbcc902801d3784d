import { bullingtonLoss, sphericalEarthLossDb } from "@fellmark/propagation";
import { smoothBullingtonDb } from "@fellmark/sweep";
import { wavelengthM } from "@fellmark/units";
import { type EndHeights, type MastPath, profileOf } from "./mast-path.ts";

/** Both antennas above the smooth surface that stands for the ground, m. */
export interface SmoothEnds {
  mastM: number;
  kitM: number;
}

/** Longest wavelength that is ever asked for, m: 2.4 GHz. */
const LONGEST_WAVE_M = 0.125;

/**
 * Half of the factor of the required clearance h_req = 17.456 sqrt(d1 d2 lambda / d), d in km (ITU-R P.1812-6
 * eq (25)), for d in m; raised by 2e-5 against rounding.
 */
const HALF_REQUIRED_CLEARANCE = (17.456 / Math.sqrt(1000) / 2) * 1.00002;

/**
 * Whether a smooth Earth can cost anything. It does not when h1 h2 > (d^2 / (8 a_e) + 0.276 sqrt(lambda d))^2: by
 * h1 (1 - u) + h2 u >= 2 sqrt(h1 h2 u (1 - u)) the clearance then exceeds h_req at every point u of the path.
 */
function mayCost({ mastM, kitM }: SmoothEnds, pathM: number, waveM: number, effectiveEarthRadiusM: number): boolean {
  const neededM = pathM ** 2 / (8 * effectiveEarthRadiusM) + HALF_REQUIRED_CLEARANCE * Math.sqrt(waveM * pathM) + 1e-6;
  return !(mastM > 0 && kitM > 0 && mastM * kitM > neededM * neededM);
}

/**
 * Heights over the smooth surface of P.1812-6 section 5.6, eqs (83) to (89). The surface is lowered for obstructions only
 * where the smooth Earth can cost anything at all; elsewhere nobody asks for it.
 * @param isOver whether some point reaches the sight line; where none does, nothing is lowered.
 */
export function smoothEnds(
  path: MastPath,
  heights: EndHeights,
  effectiveEarthRadiusM: number,
  isOver: boolean,
): SmoothEnds {
  const { bareAmslM, fit, distanceM } = path;
  const [groundMastM, groundKitM] = [bareAmslM[0], bareAmslM[bareAmslM.length - 1]];
  const over = (mastAmslM: number, kitAmslM: number): SmoothEnds => ({
    mastM: groundMastM + heights.mastM - Math.min(mastAmslM, groundMastM),
    kitM: groundKitM + heights.kitM - Math.min(kitAmslM, groundKitM),
  });
  const fitted = over(fit.mastAmslM, fit.kitAmslM);
  if (!isOver || !mayCost(fitted, distanceM, LONGEST_WAVE_M, effectiveEarthRadiusM)) return fitted;
  const { heightM, mastShare } = obstruction(path, heights);
  return heightM > 0 ? over(fit.mastAmslM - heightM * mastShare, fit.kitAmslM - heightM * (1 - mastShare)) : fitted;
}

/** Eqs (87), (88): greatest height over the line between the antennas, and the share of it that the mast's end gets. */
function obstruction({ bareAmslM, weights }: MastPath, heights: EndHeights): { heightM: number; mastShare: number } {
  const { at, rootMast, rootKit } = weights;
  const last = at.length - 1;
  const mastAmslM = bareAmslM[0] + heights.mastM;
  const slope = (bareAmslM[last] + heights.kitM - mastAmslM) / at[last];
  let heightM = Number.NEGATIVE_INFINITY;
  let mastSlope = Number.NEGATIVE_INFINITY;
  let kitSlope = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const over = bareAmslM[i] - mastAmslM - slope * at[i];
    const byMast = over * rootMast[i] * rootMast[i];
    const byKit = over * rootKit[i] * rootKit[i];
    if (over > heightM) heightM = over;
    if (byMast > mastSlope) mastSlope = byMast;
    if (byKit > kitSlope) kitSlope = byKit;
  }
  return { heightM, mastShare: mastSlope / (mastSlope + kitSlope) };
}

/** max(Ldsph - Lbulls, 0) of P.1812-6 eq (39), dB: what a smooth Earth costs more than its Bullington part. */
export function smoothEarthExcessDb(
  path: MastPath,
  ends: SmoothEnds,
  frequencyGhz: number,
  effectiveEarthRadiusM: number,
): number {
  const lambdaM = wavelengthM(frequencyGhz);
  const { distanceM } = path;
  if (!mayCost(ends, distanceM, lambdaM, effectiveEarthRadiusM)) return 0;
  const sphericalDb = sphericalEarthLossDb({
    distanceM,
    txHeightM: ends.mastM,
    rxHeightM: ends.kitM,
    wavelengthM: lambdaM,
    effectiveEarthRadiusM,
    frequencyGhz,
    polarisation: "vertical",
    seaFraction: 0,
  });
  return sphericalDb <= 0 ? 0 : Math.max(0, sphericalDb - smoothPathDb(path, ends, lambdaM, effectiveEarthRadiusM));
}

/** Bullington loss of the smooth path: by its closed form where the points lie evenly, else point by point. */
function smoothPathDb(path: MastPath, ends: SmoothEnds, lambdaM: number, effectiveEarthRadiusM: number): number {
  const { weights, stepM, distanceM } = path;
  const { mastM, kitM } = ends;
  if (weights.isEven) {
    const steps = weights.at.length - 1;
    const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
    const tailDb = 10 + 0.02e-3 * distanceM;
    return smoothBullingtonDb(mastM, kitM, steps, steps - 1, bulge, 2 / (stepM * lambdaM), tailDb);
  }
  return bullingtonLoss({
    distanceM: profileOf(path).distanceM,
    heightAmslM: new Float64Array(weights.at.length),
    txAmslM: mastM,
    rxAmslM: kitM,
    wavelengthM: lambdaM,
    effectiveEarthRadiusM,
  }).lossDb;
}
