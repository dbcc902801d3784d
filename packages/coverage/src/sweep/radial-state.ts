import { wavelengthM } from "@fellmark/units";
import type { SweepGeometry, SweepSetup } from "./sweep-frame.ts";

/** Numbers that hold for every radial of a mast. Heights in metres above sea level, lengths in steps. */
export interface MastConstants {
  /** Ground under the mast, bare. */
  mastGroundM: number;
  /** Height of the mast's antenna above sea level: hts of P.1812-6. */
  antennaAmslM: number;
  kitHeightAglM: number;
  stepM: number;
  wavelengthM: number;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
  /** step^2 / (2 a_e), m: the Earth falls by bulge j^2 below the horizontal at the mast. */
  bulgeM: number;
  /** 2 / (step lambda), 1/m^2: nu^2 = nuScale x a b with slopes a, b per step. */
  nuScale: number;
}

export function mastConstants(setup: SweepSetup, geometry: SweepGeometry): MastConstants {
  const lambdaM = wavelengthM(setup.frequencyGhz);
  return {
    mastGroundM: setup.mastGroundAmslM,
    antennaAmslM: setup.mastGroundAmslM + setup.mastHeightAglM,
    kitHeightAglM: setup.kitHeightAglM,
    stepM: geometry.stepM,
    wavelengthM: lambdaM,
    frequencyGhz: setup.frequencyGhz,
    effectiveEarthRadiusM: setup.effectiveEarthRadiusM,
    bulgeM: (geometry.stepM * geometry.stepM) / (2 * setup.effectiveEarthRadiusM),
    nuScale: 2 / (geometry.stepM * lambdaM),
  };
}

/**
 * Places in `scalars`. They live in a Float64Array because a double that is kept in a closure or an object field is
 * boxed on the heap at every write (measured: half of the running time).
 */
export const AT = {
  /** Greatest slope from the mast's antenna to a sample, flat frame, surface. */
  mastSlope: 0,
  /** The same without the Earth's bulge, on bare ground. */
  mastSlopeBare: 1,
  /** Running sums of the smooth-earth fit: v1 and v2 of P.1812-6 eqs (85), (86), in steps. */
  fit1: 2,
  fit2: 3,
  /** Bare height of the last sample. */
  lastBare: 4,
  /** Range of the cell in question. */
  range: 5,
  /** Its bare ground. */
  ground: 6,
  /** Slope of the sight line to its antenna, flat frame. */
  slope: 7,
  /** How far the mast's horizon stands over the sight line, as a slope; negative in line of sight. */
  mastExcess: 8,
  /** The same for the kit's horizon. */
  kitExcess: 9,
} as const;

/**
 * One radial while it is walked outward. Samples 1..j are pushed one by one; their flat-frame heights (lowered by the
 * bulge, so that sight lines are straight) stand on an upper hull.
 */
export interface RadialState {
  scalars: Float64Array;
  /** Surface height of sample j in the flat frame. */
  flat: Float64Array;
  /** Bare height of sample j above sea level. */
  bare: Float64Array;
  /** Hull vertices: sample number, flat-frame height, slope of the edge to the left (the first has none: 1e300). */
  hullAt: Float64Array;
  hullHeight: Float64Array;
  hullSlope: Float64Array;
}

export function createRadialState(steps: number): RadialState {
  const length = Math.ceil(steps) + 4;
  return {
    scalars: new Float64Array(Object.keys(AT).length),
    flat: new Float64Array(length),
    bare: new Float64Array(length),
    hullAt: new Float64Array(length),
    hullHeight: new Float64Array(length),
    hullSlope: new Float64Array(length),
  };
}
