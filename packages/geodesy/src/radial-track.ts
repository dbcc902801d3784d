import { geodesicPoint } from "./geodesic.ts";
import { columnOfLongitude, type LonLat, rowOfLatitude } from "./lattice.ts";

/**
 * Lattice position along a radial as a quadratic in the step number j (from 0 at the origin):
 * column = originColumn + columnPerStep j + columnPerStep2 j^2, row alike.
 */
export interface RadialTrack {
  columnPerStep: number;
  columnPerStep2: number;
  rowPerStep: number;
  rowPerStep2: number;
}

/**
 * The quadratic through the origin and the exact geodesic points at half and at full range.
 * Accuracy against the geodesic: within 0.1 m at 40 km (a test).
 * @param steps number of steps of `stepM` to full range; real-valued.
 */
export function radialTrack(
  origin: LonLat,
  zoom: number,
  azimuthDeg: number,
  stepM: number,
  steps: number,
): RadialTrack {
  const half = geodesicPoint(origin, azimuthDeg, (stepM * steps) / 2);
  const full = geodesicPoint(origin, azimuthDeg, stepM * steps);
  const column0 = columnOfLongitude(origin.lon, zoom);
  const row0 = rowOfLatitude(origin.lat, zoom);
  const columnHalf = columnOfLongitude(half.lon, zoom) - column0;
  const columnFull = columnOfLongitude(full.lon, zoom) - column0;
  const rowHalf = rowOfLatitude(half.lat, zoom) - row0;
  const rowFull = rowOfLatitude(full.lat, zoom) - row0;
  return {
    columnPerStep: (4 * columnHalf - columnFull) / steps,
    columnPerStep2: (2 * columnFull - 4 * columnHalf) / (steps * steps),
    rowPerStep: (4 * rowHalf - rowFull) / steps,
    rowPerStep2: (2 * rowFull - 4 * rowHalf) / (steps * steps),
  };
}
