import { bullingtonLoss, sphericalEarthLossDb } from "@fellmark/propagation";
import { smoothBullingtonDb } from "@fellmark/sweep";
import { wavelengthM } from "@fellmark/units";
import { type EndHeights, type MastPath, profileOf } from "./mast-path.ts";

/** Both antennas above the smooth surface that stands for the ground, m. */
export interface SmoothEnds {
  mastM: number;
  cpeM: number;
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
function mayCost({ mastM, cpeM }: SmoothEnds, pathM: number, waveM: number, effectiveEarthRadiusM: number): boolean {
  const neededM = pathM ** 2 / (8 * effectiveEarthRadiusM) + HALF_REQUIRED_CLEARANCE * Math.sqrt(waveM * pathM) + 1e-6;
  return !(mastM > 0 && cpeM > 0 && mastM * cpeM > neededM * neededM);
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
  const [groundMastM, groundCpeM] = [bareAmslM[0], bareAmslM[bareAmslM.length - 1]];
  const over = (mastAmslM: number, cpeAmslM: number): SmoothEnds => ({
    mastM: groundMastM + heights.mastM - Math.min(mastAmslM, groundMastM),
    cpeM: groundCpeM + heights.cpeM - Math.min(cpeAmslM, groundCpeM),
  });
  const fitted = over(fit.mastAmslM, fit.cpeAmslM);
  if (!isOver || !mayCost(fitted, distanceM, LONGEST_WAVE_M, effectiveEarthRadiusM)) return fitted;
  const { heightM, mastShare } = obstruction(path, heights);
  return heightM > 0 ? over(fit.mastAmslM - heightM * mastShare, fit.cpeAmslM - heightM * (1 - mastShare)) : fitted;
}

/** Eqs (87), (88): greatest height over the line between the antennas, and the share of it that the mast's end gets. */
function obstruction({ bareAmslM, weights }: MastPath, heights: EndHeights): { heightM: number; mastShare: number } {
  const { at, rootMast, rootCpe } = weights;
  const last = at.length - 1;
  const mastAmslM = bareAmslM[0] + heights.mastM;
  const slope = (bareAmslM[last] + heights.cpeM - mastAmslM) / at[last];
  let heightM = Number.NEGATIVE_INFINITY;
  let mastSlope = Number.NEGATIVE_INFINITY;
  let cpeSlope = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const over = bareAmslM[i] - mastAmslM - slope * at[i];
    const byMast = over * rootMast[i] * rootMast[i];
    const byCpe = over * rootCpe[i] * rootCpe[i];
    if (over > heightM) heightM = over;
    if (byMast > mastSlope) mastSlope = byMast;
    if (byCpe > cpeSlope) cpeSlope = byCpe;
  }
  return { heightM, mastShare: mastSlope / (mastSlope + cpeSlope) };
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
    rxHeightM: ends.cpeM,
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
  const { mastM, cpeM } = ends;
  if (weights.isEven) {
    const steps = weights.at.length - 1;
    const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
    const tailDb = 10 + 0.02e-3 * distanceM;
    return smoothBullingtonDb(mastM, cpeM, steps, steps - 1, bulge, 2 / (stepM * lambdaM), tailDb);
  }
  return bullingtonLoss({
    distanceM: profileOf(path).distanceM,
    heightAmslM: new Float64Array(weights.at.length),
    txAmslM: mastM,
    rxAmslM: cpeM,
    wavelengthM: lambdaM,
    effectiveEarthRadiusM,
  }).lossDb;
}
