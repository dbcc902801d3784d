import { DEG_PER_RAD } from "@fellmark/units";
import { CELL_CLASS } from "../sweep/sweep-frame.ts";
import type { MastLayer } from "./layer-job.ts";

/** Paths from one mast to a row of cells of the area's window. */
export interface RowPaths {
  /** Ground distance, km, at least 1 m. */
  distanceKm: Float64Array;
  /** True azimuth from the mast, 0..360 degrees. */
  azimuthDeg: Float64Array;
  /** Elevation of the ray at the mast and at the kit, degrees. */
  departureDeg: Float64Array;
  arrivalDeg: Float64Array;
  /**
   * Loss without its frequency term and gas, dB: 20 log10 of the distance and what is beyond free space; the latter is
   * taken as 0, the least it can be, where it is not known.
   */
  lossDb: Float64Array;
  /** One of CELL_CLASS. */
  cellClass: Uint8Array;
}

export function emptyRowPaths(width: number): RowPaths {
  return {
    distanceKm: new Float64Array(width),
    azimuthDeg: new Float64Array(width),
    departureDeg: new Float64Array(width),
    arrivalDeg: new Float64Array(width),
    lossDb: new Float64Array(width),
    cellClass: new Uint8Array(width),
  };
}

const LEAST_DISTANCE_KM = 0.001;

/** Fills the paths of one row; cells beyond the mast's own window are outside. */
export function fillRowPaths(mast: MastLayer, row: number, paths: RowPaths): void {
  const mastRow = row + mast.rowOffset;
  const inWindow = mastRow >= 0 && mastRow < mast.window.height;
  paths.cellClass.fill(CELL_CLASS.outside);
  if (!inWindow) return;
  const northM = mast.rows.northM[mastRow];
  const eastPerColumnM = mast.rows.eastPerColumnM[mastRow];
  const turnPerColumn = mast.rows.turnPerColumnRad[mastRow];
  const first = Math.max(0, -mast.columnOffset);
  const last = Math.min(paths.cellClass.length, mast.window.width - mast.columnOffset) - 1;
  const { excessDb, raysCdeg, cellClass } = mast.rasters;
  for (let column = first; column <= last; column++) {
    const mastColumn = column + mast.columnOffset;
    const cell = mastRow * mast.window.width + mastColumn;
    const sight = cellClass[cell];
    paths.cellClass[column] = sight;
    if (sight === CELL_CLASS.outside) continue;
    const across = mastColumn + 0.5 - mast.rows.originColumn;
    const eastM = eastPerColumnM * across;
    const distanceKm = Math.max(LEAST_DISTANCE_KM, Math.sqrt(northM * northM + eastM * eastM) / 1000);
    const azimuthDeg = (Math.atan2(eastM, northM) - turnPerColumn * across) * DEG_PER_RAD;
    paths.distanceKm[column] = distanceKm;
    paths.azimuthDeg[column] = azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg;
    paths.departureDeg[column] = raysCdeg[2 * cell] / 100;
    paths.arrivalDeg[column] = raysCdeg[2 * cell + 1] / 100;
    paths.lossDb[column] = 20 * Math.log10(distanceKm) + (sight === CELL_CLASS.notKnown ? 0 : excessDb[cell]);
  }
}
