import { fitGroundLine, type LineEnds } from "../diffraction/smooth-earth.ts";
import type { PathProfile } from "../path/path-profile.ts";
import type { PathWeights } from "./path-weights.ts";

/** Heights of a path without gaps, with what every antenna height and frequency needs of it. */
export interface WalkedPath {
  /** Surface that rays must pass and ground alone, m above sea level. */
  surfaceAmslM: Float64Array;
  bareAmslM: Float64Array;
  /** Length, m. */
  distanceM: number;
  /** Length that the weights count in, m. */
  stepM: number;
  weights: PathWeights;
  /** Ends of the straight line that fits the bare ground best, m above sea level. */
  fit: LineEnds;
}

/** Antenna heights at both ends of a path, m above ground. */
export interface EndHeights {
  txHeightAglM: number;
  rxHeightAglM: number;
}

/** A path over known heights: one for each of the weights' points. */
export function createWalkedPath(
  { stepM, weights }: Pick<WalkedPath, "stepM" | "weights">,
  surfaceAmslM: Float64Array,
  bareAmslM: Float64Array,
): WalkedPath {
  const distanceM = weights.at[weights.at.length - 1] * stepM;
  return { surfaceAmslM, bareAmslM, distanceM, stepM, weights, fit: fitGroundLine(weights.at, bareAmslM) };
}

/** The same path with its distances in metres, as the literal methods take it. */
export function toPathProfile({
  weights,
  stepM,
  surfaceAmslM,
  bareAmslM,
}: Pick<WalkedPath, "weights" | "stepM" | "surfaceAmslM" | "bareAmslM">): PathProfile {
  return { distanceM: weights.at.map((steps) => steps * stepM), surfaceAmslM, bareAmslM };
}
