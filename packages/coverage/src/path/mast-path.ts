import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import {
  deltaBullington,
  freeSpaceLossDb,
  type PathGeometry,
  type PathProfile,
  pathGeometry,
} from "@fellmark/propagation";
import { wavelengthM } from "@fellmark/units";
import { evenWeights, type PathWeights, weightsOf } from "./path-weights.ts";

/** The way from a mast to the place in question, before any antenna height at either end is chosen. */
export interface MastPath {
  /** What rays must pass and the ground alone, m above sea level; without gaps: see `notKnownShare`. */
  surfaceAmslM: Float64Array;
  bareAmslM: Float64Array;
  /** Length, m. */
  distanceM: number;
  /** Length that the weights count in, m. */
  stepM: number;
  weights: PathWeights;
  /** Ends of the straight line that fits the bare ground best, m above sea level. */
  fit: { mastAmslM: number; cpeAmslM: number };
  /** Share of the profile without a known height; 1 where an end has none. */
  notKnownShare: number;
  /** From the mast to the place and from the place to the mast, true; null when the place has no coordinates. */
  azimuthDeg: number | null;
  backAzimuthDeg: number | null;
}

/** Antenna heights at both ends of a path, m above ground. */
export interface EndHeights {
  mastM: number;
  cpeM: number;
}

/** Loss and rays of the path for one antenna height at the place. */
export interface PathLoss {
  groundDistanceM: number;
  slantM: number;
  freeSpaceDb: number;
  diffractionDb: number;
  geometry: PathGeometry;
}

export interface PathSetup {
  mastHeightAglM: number;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
}

/** Directions of the line at its ends, where they are known. */
type Azimuths = Pick<MastPath, "azimuthDeg" | "backAzimuthDeg">;

/**
 * The path of a profile whose points may lie unevenly; its heights serve as surface and as bare ground. Gaps are counted,
 * then bridged by straight lines between the known heights beside them, so that a path with few of them can be computed.
 */
export function mastPath(
  distanceM: Float64Array,
  heightAmslM: Float64Array,
  ends: { from: LonLat; to: LonLat } | null,
): MastPath {
  const { azimuthDeg = null, backAzimuthDeg = null } = ends ? geodesicBetween(ends.from, ends.to) : {};
  return pathOver({ stepM: 1, weights: weightsOf(distanceM) }, heightAmslM, { azimuthDeg, backAzimuthDeg });
}

/** The same with heights at equal steps over `distanceM`, which must be above 0. */
export function evenPath(distanceM: number, heightAmslM: Float64Array, azimuths: Azimuths): MastPath {
  const steps = heightAmslM.length - 1;
  return pathOver({ stepM: distanceM / steps, weights: evenWeights(steps) }, heightAmslM, azimuths);
}

function pathOver(
  { stepM, weights }: Pick<MastPath, "stepM" | "weights">,
  heightAmslM: Float64Array,
  azimuths: Azimuths,
): MastPath {
  const notKnownShare = notKnownShareOf(heightAmslM);
  const bridged = notKnownShare === 0 ? heightAmslM : bridgeGaps(heightAmslM);
  return {
    surfaceAmslM: bridged,
    bareAmslM: bridged,
    distanceM: weights.at[weights.at.length - 1] * stepM,
    stepM,
    weights,
    fit: fittedEnds(weights.at, bridged),
    notKnownShare,
    ...azimuths,
  };
}

/** The same with its distances in metres. */
export function profileOf({ weights, stepM, surfaceAmslM, bareAmslM }: MastPath): PathProfile {
  return { distanceM: weights.at.map((steps) => steps * stepM), surfaceAmslM, bareAmslM };
}

/** Without the ground under both antennas nothing can be said. */
function notKnownShareOf(heightAmslM: Float64Array): number {
  if (Number.isNaN(heightAmslM[0]) || Number.isNaN(heightAmslM[heightAmslM.length - 1])) return 1;
  let count = 0;
  for (const height of heightAmslM) if (Number.isNaN(height)) count++;
  return count / heightAmslM.length;
}

function bridgeGaps(heightAmslM: Float64Array): Float64Array {
  const bridged = heightAmslM.slice();
  let known = -1;
  for (let at = 0; at < bridged.length; at++) {
    if (Number.isNaN(bridged[at])) continue;
    for (let gap = known + 1; known >= 0 && gap < at; gap++) {
      bridged[gap] = bridged[known] + ((bridged[at] - bridged[known]) * (gap - known)) / (at - known);
    }
    known = at;
  }
  return bridged;
}

/** Source: ITU-R P.1812-6, Attachment 1, section 5.6.1, eqs (83) to (86); v1 and v2 as there. */
function fittedEnds(at: Float64Array, bareAmslM: Float64Array): MastPath["fit"] {
  const length = at[at.length - 1];
  let v1 = 0;
  let v2 = 0;
  for (let i = 1; i < at.length; i++) {
    const [x0, x1, h0, h1] = [at[i - 1], at[i], bareAmslM[i - 1], bareAmslM[i]];
    v1 += (x1 - x0) * (h1 + h0);
    v2 += (x1 - x0) * (h1 * (2 * x1 + x0) + h0 * (x1 + 2 * x0));
  }
  return { mastAmslM: (2 * v1 * length - v2) / length ** 2, cpeAmslM: (v2 - v1 * length) / length ** 2 };
}

/**
 * Loss of the path by the literal method (ITU-R P.525-4 over the slant length, complete delta-Bullington of
 * P.526-15 section 4.5), with its rays. `sightOf` and `lossOf` give the same in one walk.
 */
export function pathLoss(path: MastPath, setup: PathSetup, cpeHeightAglM: number): PathLoss {
  const { distanceM: groundDistanceM } = path;
  const profile = profileOf(path);
  const { mastHeightAglM, frequencyGhz, effectiveEarthRadiusM } = setup;
  const lambdaM = wavelengthM(frequencyGhz);
  const last = profile.distanceM.length - 1;
  const riseM = profile.bareAmslM[last] + cpeHeightAglM - profile.bareAmslM[0] - mastHeightAglM;
  const slantM = Math.max(1, Math.hypot(groundDistanceM, riseM));
  const diffraction = deltaBullington({
    profile,
    txHeightAglM: mastHeightAglM,
    rxHeightAglM: cpeHeightAglM,
    wavelengthM: lambdaM,
    frequencyGhz,
    effectiveEarthRadiusM,
    polarisation: "vertical",
    seaFraction: 0,
  });
  return {
    groundDistanceM,
    slantM,
    freeSpaceDb: freeSpaceLossDb(slantM, frequencyGhz),
    diffractionDb: diffraction.lossDb,
    geometry: pathGeometry(profile, mastHeightAglM, cpeHeightAglM, lambdaM, effectiveEarthRadiusM),
  };
}
