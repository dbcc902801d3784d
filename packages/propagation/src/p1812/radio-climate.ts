import { DEG_PER_RAD, MEAN_EARTH_RADIUS_KM, RAD_PER_DEG } from "@fellmark/units";

export interface RadioClimate {
  /** Share of time with a refractivity lapse over 100 N-units/km in the lowest 100 m, %: beta0. */
  beta0Percent: number;
  /** Degree to which the path is over land: tau of eq (3). */
  tau: number;
}

/** Longest stretches of a path over land and over inland, km: dtm and dlm. */
interface LandStretches {
  longestLandKm: number;
  longestInlandKm: number;
}

/**
 * Share of time with strong refraction on a path, and the measure of land that it follows from.
 * Symbols are the source's: dtm, dlm longest stretches over land, phi latitude of the path centre, mu1, mu4.
 * Source: ITU-R P.1812-6, section 3.5, eqs (2) to (5).
 * Example: 53.6866 degrees north, 17.5 km of land, 12.5 km of it inland: beta0 4.26331 %.
 */
export function computeRadioClimate(computePathCentreLatitudeDeg: number, stretches: LandStretches): RadioClimate {
  const phi = Math.abs(computePathCentreLatitudeDeg);
  const tau = 1 - Math.exp(-4.12e-4 * stretches.longestInlandKm ** 2.41);
  const coast = 10 ** (-stretches.longestLandKm / (16 - 6.6 * tau)) + 10 ** (-5 * (0.496 + 0.354 * tau));
  const mu1 = Math.min(coast ** 0.2, 1);
  const mu4 = mu1 ** (phi <= 70 ? -0.935 + 0.0176 * phi : 0.3);
  const ofLatitude = phi <= 70 ? 10 ** (-0.015 * phi + 1.67) : 4.17;
  return { beta0Percent: ofLatitude * mu1 * mu4, tau };
}

interface Position {
  lonDeg: number;
  latDeg: number;
}

/**
 * Latitude of the path centre, degrees: half the length of the profile along the great circle from the transmitter.
 * Source: ITU-R P.1812-6, Attachment 3 to Annex 1, on the sphere of the mean Earth radius. (Where a profile is not as
 * long as its end points lie apart, the published figures count half of the profile.)
 * Example: from 53.18333 N 6.33333 W toward 54.16667 N 3.18333 W, 235.1 km: 53.68658.
 */
export function computePathCentreLatitudeDeg(from: Position, to: Position, pathKm: number): number {
  const [fromRad, toRad] = [from.latDeg * RAD_PER_DEG, to.latDeg * RAD_PER_DEG];
  const turnRad = (to.lonDeg - from.lonDeg) * RAD_PER_DEG;
  const north = Math.cos(fromRad) * Math.sin(toRad) - Math.sin(fromRad) * Math.cos(toRad) * Math.cos(turnRad);
  const bearingRad = Math.atan2(Math.sin(turnRad) * Math.cos(toRad), north);
  const halfRad = pathKm / 2 / MEAN_EARTH_RADIUS_KM;
  const along = Math.cos(fromRad) * Math.sin(halfRad) * Math.cos(bearingRad);
  return Math.asin(Math.sin(fromRad) * Math.cos(halfRad) + along) * DEG_PER_RAD;
}
