import { computeWavelengthM } from "@fellmark/units";
import { computeBullingtonLoss } from "../diffraction/bullington.ts";
import { type LineEnds, lowerForObstruction, type Obstruction } from "../diffraction/smooth-earth.ts";
import { computeFreeHeightM, mayCostSmoothEarth } from "../diffraction/smooth-earth-bound.ts";
import { computeSmoothBullingtonDb, createStepFrame, type SmoothHeights } from "../diffraction/smooth-path.ts";
import { computeSphericalEarthLossDb } from "../diffraction/spherical-earth.ts";
import { type EndHeights, toPathProfile, type WalkedPath } from "./walked-path.ts";

/** Longest wavelength that is ever asked for, m: 2.4 GHz. */
const LONGEST_WAVE_M = 0.125;

/**
 * Antenna heights over the smooth surface of P.1812-6, Attachment 1, section 5.6, eqs (83) to (89). The surface is lowered
 * for obstructions only where the smooth Earth can cost anything at all; elsewhere its height has no use.
 * @param isBlocked true where some point reaches the sight line; where none does, nothing is lowered.
 */
export function findSmoothHeights(
  path: WalkedPath,
  heights: EndHeights,
  effectiveEarthRadiusM: number,
  isBlocked: boolean,
): SmoothHeights {
  const fitted = measureOverLine(path, heights, path.fit);
  const freeM = computeFreeHeightM(path.distanceM, LONGEST_WAVE_M, effectiveEarthRadiusM);
  if (!isBlocked || !mayCostSmoothEarth(fitted.txHeightM, fitted.rxHeightM, freeM)) return fitted;
  return measureOverLine(path, heights, lowerForObstruction(path.fit, findObstruction(path, heights)));
}

/** Antenna heights over a line that is kept at or below the ground. */
function measureOverLine({ bareAmslM }: WalkedPath, heights: EndHeights, line: LineEnds): SmoothHeights {
  const [groundTxM, groundRxM] = [bareAmslM[0], bareAmslM[bareAmslM.length - 1]];
  return {
    txHeightM: groundTxM + heights.txHeightAglM - Math.min(line.txAmslM, groundTxM),
    rxHeightM: groundRxM + heights.rxHeightAglM - Math.min(line.rxAmslM, groundRxM),
  };
}

/** Eqs (87): greatest height over the line between the antennas, and the slopes to it per step. */
function findObstruction({ bareAmslM, weights }: WalkedPath, heights: EndHeights): Obstruction {
  const { at, rootTx, rootRx } = weights;
  const last = at.length - 1;
  const txAmslM = bareAmslM[0] + heights.txHeightAglM;
  const slope = (bareAmslM[last] + heights.rxHeightAglM - txAmslM) / at[last];
  let heightM = Number.NEGATIVE_INFINITY;
  let txSlope = Number.NEGATIVE_INFINITY;
  let rxSlope = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const over = bareAmslM[i] - txAmslM - slope * at[i];
    const byTx = over * rootTx[i] * rootTx[i];
    const byRx = over * rootRx[i] * rootRx[i];
    if (over > heightM) heightM = over;
    if (byTx > txSlope) txSlope = byTx;
    if (byRx > rxSlope) rxSlope = byRx;
  }
  return { heightM, txSlope, rxSlope };
}

/** Loss of a smooth Earth beyond its own Bullington part, dB: max(Ldsph - Lbulls, 0) of P.1812-6 eq (39). */
export function computeSmoothExcessDb(
  path: WalkedPath,
  heights: SmoothHeights,
  frequencyGhz: number,
  effectiveEarthRadiusM: number,
): number {
  const lambdaM = computeWavelengthM(frequencyGhz);
  const { distanceM } = path;
  const freeM = computeFreeHeightM(distanceM, lambdaM, effectiveEarthRadiusM);
  if (!mayCostSmoothEarth(heights.txHeightM, heights.rxHeightM, freeM)) return 0;
  const sphericalDb = computeSphericalEarthLossDb({
    ...heights,
    distanceM,
    wavelengthM: lambdaM,
    effectiveEarthRadiusM,
    frequencyGhz,
    polarisation: "vertical",
    seaFraction: 0,
  });
  if (sphericalDb <= 0) return 0;
  return Math.max(0, sphericalDb - computeSmoothPathDb(path, heights, lambdaM, effectiveEarthRadiusM));
}

/** Bullington loss of the smooth path: by its closed form where the points lie evenly, else point by point. */
function computeSmoothPathDb(
  path: WalkedPath,
  heights: SmoothHeights,
  lambdaM: number,
  effectiveEarthRadiusM: number,
): number {
  const { weights, stepM } = path;
  if (weights.isEven) {
    const steps = weights.at.length - 1;
    const frame = createStepFrame(stepM, lambdaM, effectiveEarthRadiusM);
    return computeSmoothBullingtonDb(frame, heights, steps, steps - 1);
  }
  return computeBullingtonLoss({
    distanceM: toPathProfile(path).distanceM,
    heightAmslM: new Float64Array(weights.at.length),
    txAmslM: heights.txHeightM,
    rxAmslM: heights.rxHeightM,
    wavelengthM: lambdaM,
    effectiveEarthRadiusM,
  }).lossDb;
}
