import { createStepFrame, type StepFrame } from "@fellmark/propagation";
import { wavelengthM } from "@fellmark/units";
import type { SweepGeometry, SweepSetup } from "./sweep-frame.ts";

/** Numbers that hold for every radial of a mast. Heights in metres above sea level, lengths in steps. */
export interface MastConstants extends StepFrame {
  /** Ground under the mast, bare. */
  mastGroundM: number;
  /** Height of the mast's antenna above sea level: hts of P.1812-6. */
  antennaAmslM: number;
  cpeHeightAglM: number;
  wavelengthM: number;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
}

export function mastConstants(setup: SweepSetup, geometry: SweepGeometry): MastConstants {
  const lambdaM = wavelengthM(setup.frequencyGhz);
  return {
    mastGroundM: setup.mastGroundAmslM,
    antennaAmslM: setup.mastGroundAmslM + setup.mastHeightAglM,
    cpeHeightAglM: setup.cpeHeightAglM,
    ...createStepFrame(geometry.stepM, lambdaM, setup.effectiveEarthRadiusM),
    wavelengthM: lambdaM,
    frequencyGhz: setup.frequencyGhz,
    effectiveEarthRadiusM: setup.effectiveEarthRadiusM,
  };
}

/** Slope "of the edge left of the first hull vertex": nothing lies above its extension. */
const NO_EDGE = 1e300;

/**
 * What is known at each sample of a radial, indexed by its number j from 1; 0 is the mast. Every array answers for the
 * path that ends after sample j, so that cells can be answered in any order.
 */
export interface RadialState {
  /** Height above sea level: what rays must pass, and the ground alone. One array where both are the same. */
  surface: Float64Array;
  bare: Float64Array;
  /** Surface lowered by the Earth's bulge, so that sight lines are straight: the flat frame. */
  flat: Float64Array;
  /** Greatest slope from the mast's antenna to the samples 1..j, flat frame, surface. */
  mastSlope: Float64Array;
  /** The same without the Earth's bulge, on bare ground. */
  mastSlopeBare: Float64Array;
  /** Running sums of the smooth-earth fit: v1 and v2 of P.1812-6 eqs (85), (86), in steps. */
  fit1: Float64Array;
  fit2: Float64Array;
  /**
   * Upper hull of the samples 1..j in the flat frame: its last vertex is j, hullLeft[j] the one before, and so on;
   * hullSlope[j] is the slope of the edge between them. Sample 1 is the first vertex; it and the mast have NO_EDGE.
   */
  hullLeft: Int32Array;
  hullSlope: Float64Array;
  /** The last hull vertex before j's block of 16 samples: for long ways along the hull. */
  hullSkip: Int32Array;
}

export function createRadialState(steps: number, oneSurface: boolean): RadialState {
  const length = Math.ceil(steps) + 4;
  const numbers = () => new Float64Array(length);
  const bare = numbers();
  const hullSlope = numbers();
  hullSlope.fill(NO_EDGE, 0, 2);
  return {
    surface: oneSurface ? bare : numbers(),
    bare,
    flat: numbers(),
    mastSlope: numbers(),
    mastSlopeBare: numbers(),
    fit1: numbers(),
    fit2: numbers(),
    hullLeft: new Int32Array(length),
    hullSlope,
    hullSkip: new Int32Array(length),
  };
}
