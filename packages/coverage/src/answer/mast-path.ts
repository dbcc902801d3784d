import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import {
  deltaBullington,
  freeSpaceLossDb,
  type PathGeometry,
  type PathProfile,
  pathGeometry,
} from "@fellmark/propagation";
import { wavelengthM } from "@fellmark/units";

/** The way from a mast to the place in question, before any antenna height at the place is chosen. */
export interface MastPath {
  profile: PathProfile;
  /** Share of the profile without a known height. */
  notKnownShare: number;
  /** From the mast to the place and from the place to the mast, true; null when the place has no coordinates. */
  azimuthDeg: number | null;
  backAzimuthDeg: number | null;
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

/**
 * The path of a profile whose heights serve as surface and as bare ground. Gaps are counted, then bridged by straight
 * lines between the known heights beside them, so that a path with few of them can still be computed.
 */
export function mastPath(
  distanceM: Float64Array,
  heightAmslM: Float64Array,
  ends: { from: LonLat; to: LonLat } | null,
): MastPath {
  const line = ends && geodesicBetween(ends.from, ends.to);
  const bridged = bridgeGaps(heightAmslM);
  return {
    profile: { distanceM, surfaceAmslM: bridged, bareAmslM: bridged },
    notKnownShare: endsKnown(heightAmslM) ? heightAmslM.filter(Number.isNaN).length / heightAmslM.length : 1,
    azimuthDeg: line?.azimuthDeg ?? null,
    backAzimuthDeg: line?.backAzimuthDeg ?? null,
  };
}

/** Without the ground under both antennas nothing can be said. */
function endsKnown(heightAmslM: Float64Array): boolean {
  return !Number.isNaN(heightAmslM[0]) && !Number.isNaN(heightAmslM[heightAmslM.length - 1]);
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

/**
 * Loss of the path by the literal method (ITU-R P.525-4 over the slant length, complete delta-Bullington of
 * P.526-15 section 4.5), with its rays. The profile must have no gap.
 */
export function pathLoss(path: MastPath, setup: PathSetup, kitHeightAglM: number): PathLoss {
  const { profile } = path;
  const { mastHeightAglM, frequencyGhz, effectiveEarthRadiusM } = setup;
  const lambdaM = wavelengthM(frequencyGhz);
  const last = profile.distanceM.length - 1;
  const groundDistanceM = profile.distanceM[last];
  const riseM = profile.bareAmslM[last] + kitHeightAglM - profile.bareAmslM[0] - mastHeightAglM;
  const slantM = Math.max(1, Math.hypot(groundDistanceM, riseM));
  const diffraction = deltaBullington({
    profile,
    txHeightAglM: mastHeightAglM,
    rxHeightAglM: kitHeightAglM,
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
    geometry: pathGeometry(profile, mastHeightAglM, kitHeightAglM, lambdaM, effectiveEarthRadiusM),
  };
}
