import { RAD_PER_DEG } from "@fellmark/units";

/** WGS84 semi-major axis, m. Source: NGA.STND.0036, table 3.1. */
export const WGS84_A_M = 6_378_137;

/** WGS84 flattening. Source: NGA.STND.0036, table 3.1. */
export const WGS84_F = 1 / 298.257223563;

const E2 = WGS84_F * (2 - WGS84_F);

/** Returns the radius of curvature in the meridian, m, at a geodetic latitude. */
export function computeMeridianRadiusM(latitudeDeg: number): number {
  const sin = Math.sin(latitudeDeg * RAD_PER_DEG);
  return (WGS84_A_M * (1 - E2)) / (1 - E2 * sin * sin) ** 1.5;
}

/** Returns the radius of curvature in the prime vertical, m, at a geodetic latitude. */
export function computeNormalRadiusM(latitudeDeg: number): number {
  const sin = Math.sin(latitudeDeg * RAD_PER_DEG);
  return WGS84_A_M / Math.sqrt(1 - E2 * sin * sin);
}
