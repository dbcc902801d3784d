import { computeWavelengthM } from "@fellmark/units";
import { computeDeltaBullington } from "../diffraction/delta-bullington.ts";
import { computeFreeSpaceLossDb } from "./free-space.ts";
import { findPathGeometry, type PathGeometry } from "./path-geometry.ts";
import type { PathProfile } from "./path-profile.ts";

/** Loss and rays of a path between two antenna heights. */
export interface PathLoss {
  groundDistanceM: number;
  slantM: number;
  freeSpaceDb: number;
  diffractionDb: number;
  geometry: PathGeometry;
}

export interface PathLossInput {
  profile: PathProfile;
  /** Antenna heights above the ground at their ends, m, above 0. */
  txHeightAglM: number;
  rxHeightAglM: number;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
}

/**
 * Loss of a path by the literal method, with its rays: ITU-R P.525-4 over the slant length, which counts as 1 m at least,
 * and complete delta-Bullington of P.526-15, section 4.5, overland. `findPathSight` and `computeSightLoss` give the same in
 * one walk for all heights and frequencies.
 * Example: ridge of 60 m at 4 of 10 km, antennas 30 and 10 m, 5.8 GHz, 4/3 Earth: 127.716 + 36.904 dB, blocked.
 */
export function computePathLoss(input: PathLossInput): PathLoss {
  const { profile, txHeightAglM, rxHeightAglM, frequencyGhz, effectiveEarthRadiusM } = input;
  const { distanceM, bareAmslM } = profile;
  const lambdaM = computeWavelengthM(frequencyGhz);
  const last = distanceM.length - 1;
  const riseM = bareAmslM[last] + rxHeightAglM - bareAmslM[0] - txHeightAglM;
  const slantM = Math.max(1, Math.hypot(distanceM[last], riseM));
  const diffraction = computeDeltaBullington({
    ...input,
    wavelengthM: lambdaM,
    polarisation: "vertical",
    seaFraction: 0,
  });
  return {
    groundDistanceM: distanceM[last],
    slantM,
    freeSpaceDb: computeFreeSpaceLossDb(slantM, frequencyGhz),
    diffractionDb: diffraction.lossDb,
    geometry: findPathGeometry(profile, txHeightAglM, rxHeightAglM, lambdaM, effectiveEarthRadiusM),
  };
}
