import { computeSmoothEarthHeights } from "../diffraction/smooth-earth.ts";
import type { PathProfile } from "../path/path-profile.ts";
import { type EndHorizon, findPathHorizons } from "./path-horizons.ts";

export interface PathParameters {
  pathKm: number;
  /** Antennas above sea level, m: hts, hrs. */
  txAmslM: number;
  rxAmslM: number;
  transHorizon: boolean;
  tx: EndHorizon;
  rx: EndHorizon;
  /** Angle between the horizon rays, mrad: theta. */
  angularDistanceMrad: number;
  /** Least-squares line under the ends, kept at or below the ground, m above sea level: hst, hsr of eqs (90). */
  smoothTxAmslM: number;
  smoothRxAmslM: number;
  /** Antennas above that line, m: hte, hre. */
  effectiveTxHeightM: number;
  effectiveRxHeightM: number;
  /** Greatest height of the ground over that line between the horizons, m: hm. */
  roughnessM: number;
}

/**
 * Parameters of a profile for the sub-models: horizons, angular distance, effective heights, roughness; over bare ground.
 * Source: ITU-R P.1812-6, Attachment 1, sections 4 and 5, eqs (76) to (93).
 */
export function findPathParameters(
  profile: PathProfile,
  txHeightAglM: number,
  rxHeightAglM: number,
  effectiveEarthRadiusKm: number,
  wavelengthM: number,
): PathParameters {
  const { distanceM, bareAmslM } = profile;
  const last = distanceM.length - 1;
  const pathKm = distanceM[last] / 1000;
  const txAmslM = bareAmslM[0] + txHeightAglM;
  const rxAmslM = bareAmslM[last] + rxHeightAglM;
  const ends = { distanceM, bareAmslM, txAmslM, rxAmslM };
  const horizons = findPathHorizons({ ...ends, effectiveEarthRadiusM: effectiveEarthRadiusKm * 1000, wavelengthM });
  const { tx, rx } = horizons;
  const { fitTxAmslM, fitRxAmslM } = computeSmoothEarthHeights(ends);
  const smoothTxAmslM = Math.min(fitTxAmslM, bareAmslM[0]);
  const smoothRxAmslM = Math.min(fitRxAmslM, bareAmslM[last]);
  return {
    ...horizons,
    pathKm,
    txAmslM,
    rxAmslM,
    angularDistanceMrad: (1000 * pathKm) / effectiveEarthRadiusKm + tx.elevationMrad + rx.elevationMrad,
    smoothTxAmslM,
    smoothRxAmslM,
    effectiveTxHeightM: txAmslM - smoothTxAmslM,
    effectiveRxHeightM: rxAmslM - smoothRxAmslM,
    roughnessM: findRoughnessM(profile, smoothTxAmslM, smoothRxAmslM, tx.point, rx.point),
  };
}

/** Eqs (91), (93): the greatest height over the smooth line from one horizon point to the other. */
function findRoughnessM(
  profile: PathProfile,
  smoothTxM: number,
  smoothRxM: number,
  first: number,
  last: number,
): number {
  const { distanceM, bareAmslM } = profile;
  const slope = (smoothRxM - smoothTxM) / distanceM[distanceM.length - 1];
  let greatestM = -Infinity;
  for (let i = first; i <= last; i++) {
    greatestM = Math.max(greatestM, bareAmslM[i] - (smoothTxM + slope * distanceM[i]));
  }
  return greatestM;
}
