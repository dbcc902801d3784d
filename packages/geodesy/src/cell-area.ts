import { RAD_PER_DEG } from "@fellmark/units";
import { WGS84_A_M, WGS84_F } from "./ellipsoid.ts";
import { countWorldCells, toLatitudeDeg } from "./lattice.ts";

const E2 = WGS84_F * (2 - WGS84_F);
const E = Math.sqrt(E2);

/**
 * Returns the ground area of one cell of a world row on the WGS84 ellipsoid, m^2.
 * Source: area of an ellipsoidal zone, Snyder, Map Projections (USGS Professional Paper 1395), eq (3-12):
 * q = (1 - e^2) [sin f / (1 - e^2 sin^2 f) + ln((1 + e sin f) / (1 - e sin f)) / (2 e)]; area = a^2 dq dlon / 2.
 */
export function computeCellAreaM2(worldRow: number, zoom: number): number {
  const dq = computeAuthalicQ(toLatitudeDeg(worldRow, zoom)) - computeAuthalicQ(toLatitudeDeg(worldRow + 1, zoom));
  return (WGS84_A_M * WGS84_A_M * dq * Math.PI) / countWorldCells(zoom);
}

function computeAuthalicQ(latitudeDeg: number): number {
  const sin = Math.sin(latitudeDeg * RAD_PER_DEG);
  return (1 - E2) * (sin / (1 - E2 * sin * sin) + Math.log((1 + E * sin) / (1 - E * sin)) / (2 * E));
}
