import {
  computeFreeHeightM,
  computeSmoothBullingtonDb,
  computeSphericalEarthLossDb,
  type LineEnds,
  lowerForObstruction,
  mayCostSmoothEarth,
  type SmoothHeights,
} from "@fellmark/propagation";
import type { MastConstants, RadialState } from "./radial-state.ts";

/** True where a smooth Earth may cost something at range x, in steps, between antennas at these heights over it. */
export function mayFeelSmoothEarth(mast: MastConstants, x: number, txHeightM: number, rxHeightM: number): boolean {
  const freeM = computeFreeHeightM(x * mast.stepM, mast.wavelengthM, mast.effectiveEarthRadiusM);
  return mayCostSmoothEarth(txHeightM, rxHeightM, freeM);
}

/** A cell of a radial: its range in steps, the samples before it, its ground and the fitted line to it, m amsl. */
export interface SmoothCell {
  x: number;
  samples: number;
  groundAmslM: number;
  /** Height of the CPE's antenna. */
  rxAmslM: number;
  fit: LineEnds;
}

/**
 * Loss of a smooth Earth beyond its own Bullington part for a cell, dB: max(Ldsph - Lbulls, 0) of ITU-R P.1812-6 eq (39),
 * with the effective heights of its section 4.3.5.
 */
export function computeSmoothEarthExcessDb(radial: RadialState, mast: MastConstants, cell: SmoothCell): number {
  const { x, samples, groundAmslM, rxAmslM, fit } = cell;
  const lowered = lowerBelowTerrain(radial, mast, cell, (rxAmslM - mast.antennaAmslM) / x, fit);
  const heights = {
    txHeightM: mast.antennaAmslM - Math.min(lowered.txAmslM, mast.mastGroundM),
    rxHeightM: rxAmslM - Math.min(lowered.rxAmslM, groundAmslM),
  };
  return mayFeelSmoothEarth(mast, x, heights.txHeightM, heights.rxHeightM)
    ? computeExcessDb(mast, x, samples, heights)
    : 0;
}

/** The fitted line lowered for what stands over the chord of this slope; the fit itself where nothing does. */
function lowerBelowTerrain(
  radial: RadialState,
  mast: MastConstants,
  { x, samples }: SmoothCell,
  chord: number,
  fit: LineEnds,
): LineEnds {
  const txSlope = radial.mastSlopeBare[samples] - chord;
  if (txSlope <= 0) return fit;
  let heightM = 0;
  let rxSlope = 0;
  for (let j = 1; j <= samples; j++) {
    const aboveM = radial.bare[j] - mast.antennaAmslM - chord * j;
    heightM = Math.max(heightM, aboveM);
    rxSlope = Math.max(rxSlope, aboveM / (x - j));
  }
  return lowerForObstruction(fit, { heightM, txSlope, rxSlope });
}

function computeExcessDb(mast: MastConstants, x: number, samples: number, heights: SmoothHeights): number {
  const sphericalDb = computeSphericalEarthLossDb({
    ...heights,
    distanceM: x * mast.stepM,
    effectiveEarthRadiusM: mast.effectiveEarthRadiusM,
    wavelengthM: mast.wavelengthM,
    frequencyGhz: mast.frequencyGhz,
    polarisation: "vertical",
    seaFraction: 0,
  });
  return sphericalDb <= 0 ? 0 : Math.max(0, sphericalDb - computeSmoothBullingtonDb(mast, heights, x, samples));
}
