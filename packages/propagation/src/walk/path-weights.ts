/**
 * Distances of the points of a path and their weights in diffraction; lengths in steps of the path. The two ends have
 * no weight of their own and are never asked for it.
 */
export interface PathWeights {
  /** Distance of each point from the transmitter: 0 first, rising. */
  at: Float64Array;
  /** 1 / sqrt of the distance from the transmitter, and from the receiver. */
  rootTx: Float64Array;
  rootRx: Float64Array;
  /** True where every step is 1. */
  isEven: boolean;
}

/** Tables that the weights of all evenly spaced paths are windows of; they grow with the longest one. */
let ramp = new Float64Array(0);
let roots = new Float64Array(0);
let rootsBackward = new Float64Array(0);

/** Weights of a path of `steps` equal steps: no arithmetic but for the longest path so far. */
export function createEvenWeights(steps: number): PathWeights {
  if (steps >= ramp.length) growTables(2 * steps + 1);
  const backward = rootsBackward.length - 1 - steps;
  return {
    at: ramp.subarray(0, steps + 1),
    rootTx: roots.subarray(0, steps + 1),
    rootRx: rootsBackward.subarray(backward),
    isEven: true,
  };
}

function growTables(length: number): void {
  ramp = Float64Array.from({ length }, (_, index) => index);
  roots = ramp.map((distance) => 1 / Math.sqrt(distance));
  rootsBackward = roots.toReversed();
}

/** Weights of a path whose points lie anywhere; its step is the metre. */
export function createWeights(distanceM: Float64Array): PathWeights {
  const pathM = distanceM[distanceM.length - 1];
  return {
    at: distanceM,
    rootTx: distanceM.map((distance) => 1 / Math.sqrt(distance)),
    rootRx: distanceM.map((distance) => 1 / Math.sqrt(pathM - distance)),
    isEven: false,
  };
}
