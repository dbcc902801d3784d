import { RAD_PER_DEG } from "@fellmark/units";
import { computeMeridianRadiusM, computeNormalRadiusM } from "./ellipsoid.ts";
import { countWorldCells, type LatticeWindow, type LonLat, toLatitudeDeg, toLatticeColumn } from "./lattice.ts";

/**
 * Range and bearing from one point to the cells of a window by the mid-latitude formula, as constants per row:
 * east = eastPerColumnM[row] * (column + 0.5 - originColumn), north = northM[row], range = hypot(east, north),
 * azimuth = atan2(east, north) - turnPerColumnRad[row] * (column + 0.5 - originColumn).
 * Columns and rows are those of the window, from 0.
 * Source: mid-latitude (Gauss) formula, e.g. Bomford, Geodesy, 4th ed., section 2.15; common practice.
 * Accuracy against the geodesic: 0.03 m at 20 km, 0.24 m at 40 km, up to 60 degrees of latitude (a test).
 */
export interface RowFrame {
  /** Column of the origin, real-valued, from the window's left edge. */
  originColumn: number;
  /** Row of the origin, real-valued, from the window's top edge. */
  originRow: number;
  northM: Float64Array;
  eastPerColumnM: Float64Array;
  turnPerColumnRad: Float64Array;
}

/** Returns the column of a longitude in the window, on the turn of the world nearest to the window's middle. */
export function findWindowColumn(lonDeg: number, window: LatticeWindow): number {
  const world = countWorldCells(window.zoom);
  const column = toLatticeColumn(lonDeg, window.zoom) - window.col0;
  return column - Math.round((column - window.width / 2) / world) * world;
}

/** Returns the frame of a window around an origin. @param originRow world row of the origin, real-valued. */
export function createRowFrame(origin: LonLat, originRow: number, window: LatticeWindow): RowFrame {
  const { zoom, row0, height } = window;
  const radPerColumn = (2 * Math.PI) / countWorldCells(zoom);
  const frame: RowFrame = {
    originColumn: findWindowColumn(origin.lon, window),
    originRow: originRow - row0,
    northM: new Float64Array(height),
    eastPerColumnM: new Float64Array(height),
    turnPerColumnRad: new Float64Array(height),
  };
  for (let row = 0; row < height; row++) {
    const latDeg = toLatitudeDeg(row0 + row + 0.5, zoom);
    const midDeg = (origin.lat + latDeg) / 2;
    frame.northM[row] = computeMeridianRadiusM(midDeg) * (latDeg - origin.lat) * RAD_PER_DEG;
    frame.eastPerColumnM[row] = computeNormalRadiusM(midDeg) * Math.cos(midDeg * RAD_PER_DEG) * radPerColumn;
    frame.turnPerColumnRad[row] = (Math.sin(midDeg * RAD_PER_DEG) * radPerColumn) / 2;
  }
  return frame;
}
