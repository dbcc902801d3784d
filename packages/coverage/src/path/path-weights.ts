/**
 * Where the points of a path lie and what diffraction weighs them with; lengths in steps of the path. The two ends have
 * no weight of their own and are never asked for it.
 */
export interface PathWeights {
  /** Distance of each point from the mast: 0 first, rising. */
  at: Float64Array;
  /** 1 / sqrt of the distance from the mast, and from the CPE. */
  rootMast: Float64Array;
  rootCpe: Float64Array;
  /** Whether every step is 1. */
  isEven: boolean;
}

/** Tables that the weights of all evenly spaced paths are windows of; they grow with the longest one. */
let ramp = new Float64Array(0);
let roots = new Float64Array(0);
let rootsBackward = new Float64Array(0);

/** Weights of a path of `steps` equal steps: no arithmetic but for the longest path so far. */
export function evenWeights(steps: number): PathWeights {
  if (steps >= ramp.length) growTables(2 * steps + 1);
  const backward = rootsBackward.length - 1 - steps;
  return {
    at: ramp.subarray(0, steps + 1),
    rootMast: roots.subarray(0, steps + 1),
    rootCpe: rootsBackward.subarray(backward),
    isEven: true,
  };
}

function growTables(length: number): void {
  ramp = Float64Array.from({ length }, (_, index) => index);
  roots = ramp.map((distance) => 1 / Math.sqrt(distance));
  rootsBackward = roots.toReversed();
}

/** Weights of a path whose points lie anywhere; its step is the metre. */
export function weightsOf(distanceM: Float64Array): PathWeights {
  const pathM = distanceM[distanceM.length - 1];
  return {
    at: distanceM,
    rootMast: distanceM.map((distance) => 1 / Math.sqrt(distance)),
    rootCpe: distanceM.map((distance) => 1 / Math.sqrt(pathM - distance)),
    isEven: false,
  };
}
