import { createStepFrame, type StepFrame } from "@fellmark/propagation";
import { computeWavelengthM } from "@fellmark/units";
import type { GroundGrids, SweepGeometry, SweepSetup } from "./sweep-frame.ts";

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

export function deriveMastConstants(setup: SweepSetup, geometry: SweepGeometry): MastConstants {
  const lambdaM = computeWavelengthM(setup.frequencyGhz);
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

/** Samples in a block, as a power of 2; see Horizon.hullSkip and TreelessRadial.treeTop. */
export const BLOCK_BITS = 4;

/** Slope "of the edge left of the first hull vertex": nothing lies above its extension. */
const NO_EDGE = 1e300;

/** Horizons of a surface along a radial, by sample as in RadialState. */
export interface Horizon {
  /** Heights lowered by the Earth's bulge, so that sight lines are straight: the flat frame. */
  flat: Float64Array;
  /** Greatest slope from the mast's antenna to the samples 1..j, flat frame. */
  mastSlope: Float64Array;
  /**
   * Upper hull of the samples 1..j in the flat frame: its last vertex is j, hullLeft[j] the one before, and so on;
   * hullSlope[j] is the slope of the edge between them. Sample 1 is the first vertex; it and the mast have NO_EDGE.
   */
  hullLeft: Int32Array;
  hullSlope: Float64Array;
  /** The last hull vertex before j's block of 16 samples: for long ways along the hull. */
  hullSkip: Int32Array;
}

/** Ground with its buildings alone along a radial, as if the trees were away. */
export interface TreelessRadial extends Horizon {
  /** Heights above sea level. */
  solid: Float64Array;
  /** Greatest height of a tree top in each block of samples, flat frame; -Infinity where no tree stands. */
  treeTop: Float64Array;
}

/**
 * State at each sample of a radial, indexed by its number j from 1; 0 is the mast. Every array answers for the path that
 * ends after sample j, so that cells can be answered in any order. The horizon is that of the surface.
 */
export interface RadialState extends Horizon {
  /** Height above sea level: tops of everything that stands, and the ground alone. One array where both are the same. */
  surface: Float64Array;
  bare: Float64Array;
  /** Null where no trees are known. */
  treeless: TreelessRadial | null;
  /** The same without the Earth's bulge, on bare ground. */
  mastSlopeBare: Float64Array;
  /** Running sums of the smooth-earth fit: v1 and v2 of P.1812-6 eqs (85), (86), in steps. */
  fit1: Float64Array;
  fit2: Float64Array;
}

/** Room for the samples of a radial; arrays of heights are shared where the ground's grids are one. */
export function createRadialState(steps: number, { surfaceAmslM, solidAmslM, bareAmslM }: GroundGrids): RadialState {
  const length = Math.ceil(steps) + 4;
  const numbers = () => new Float64Array(length);
  const bare = numbers();
  const surface = surfaceAmslM === bareAmslM ? bare : numbers();
  const solid = solidAmslM === bareAmslM ? bare : numbers();
  return {
    ...createHorizon(length),
    surface,
    bare,
    treeless:
      surfaceAmslM === solidAmslM
        ? null
        : { ...createHorizon(length), solid, treeTop: new Float64Array((length >> BLOCK_BITS) + 1) },
    mastSlopeBare: numbers(),
    fit1: numbers(),
    fit2: numbers(),
  };
}

function createHorizon(length: number): Horizon {
  return {
    flat: new Float64Array(length),
    mastSlope: new Float64Array(length),
    hullLeft: new Int32Array(length),
    hullSlope: new Float64Array(length).fill(NO_EDGE, 0, 2),
    hullSkip: new Int32Array(length),
  };
}
