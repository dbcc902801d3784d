import { CELL_CLASS } from "@fellmark/sweep";
import { NEPERS_PER_DB, RAD_PER_DEG } from "@fellmark/units";
import { readAtDistance } from "./distance-table.ts";
import type { LossLayer, MastLayer } from "./layer-job.ts";

/** Paths from one mast to a row of cells of the area's window. Directions are unit vectors: east, north, up. */
export interface RowPaths {
  /** Ground distance, km, at least 1 m. */
  distanceKm: Float32Array;
  /** Loss beyond free space over the ground distance, dB; 0, the least it can be, where it is not known. */
  beyondDb: Float32Array;
  /** Whole loss, the CPE's clutter included, without its frequency term as a power ratio: 1 at 1 km of free space; 0 out of reach. */
  pathGain: Float32Array;
  /** Ray at the mast, outward. */
  outEast: Float32Array;
  outNorth: Float32Array;
  outUp: Float32Array;
  /** Ray at the CPE, toward the mast. */
  backEast: Float32Array;
  backNorth: Float32Array;
  backUp: Float32Array;
  /** One of CELL_CLASS. */
  cellClass: Uint8Array;
  /** 1 where the mast's own sectors may serve. */
  mayServe: Uint8Array;
}

export function createRowPaths(width: number): RowPaths {
  const floats = () => new Float32Array(new SharedArrayBuffer(4 * width));
  const bytes = () => new Uint8Array(new SharedArrayBuffer(width));
  return {
    distanceKm: floats(),
    beyondDb: floats(),
    pathGain: floats(),
    outEast: floats(),
    outNorth: floats(),
    outUp: floats(),
    backEast: floats(),
    backNorth: floats(),
    backUp: floats(),
    cellClass: bytes(),
    mayServe: bytes(),
  };
}

const LEAST_DISTANCE_KM = 0.001;

/** Sines of -90 to 90 degrees by 0.01 degrees. */
const SINES = Float32Array.from({ length: 18_001 }, (_, index) => Math.sin((index - 9000) * 0.01 * RAD_PER_DEG));
const HORIZON = 9000;

/** Marks the cells of a row that lie in the mast's service disc. */
export function markServiceDisc({ near }: MastLayer, row: number, inArea: Uint8Array): void {
  const nearRow = near === null ? -1 : findRow(near, row);
  for (let column = 0; column < inArea.length && near !== null && nearRow >= 0; column++) {
    if (findCell(near, nearRow, column) >= 0) inArea[column] = 1;
  }
}

/**
 * Fills the paths of one row of the area's window, where a cell is in the area: from the near lattice where it answers,
 * else from the far one.
 * @param clutter what stands on each cell of the row: see Row.
 */
export function fillRowPaths(
  mast: MastLayer,
  row: number,
  inArea: Uint8Array,
  clutter: Uint16Array,
  paths: RowPaths,
): void {
  const { clutterGain } = mast;
  const nearRow = mast.near === null ? -1 : findRow(mast.near, row);
  const farRow = mast.far === null ? -1 : findRow(mast.far, row);
  for (let column = 0; column < paths.cellClass.length; column++) {
    paths.mayServe[column] = 0;
    let layer = mast.near as LossLayer;
    let cell = nearRow < 0 || inArea[column] === 0 ? -1 : findCell(layer, nearRow, column);
    const isNear = cell >= 0;
    if (!isNear && farRow >= 0 && inArea[column] === 1) {
      layer = mast.far as LossLayer;
      cell = findCell(layer, farRow, column);
    }
    if (cell < 0) {
      paths.cellClass[column] = CELL_CLASS.outside;
      paths.pathGain[column] = 0;
      continue;
    }
    const distanceKm = fillDirection(mast, row, column, paths);
    const { excessDb, raysCdeg, cellClass } = layer.rasters;
    const isKnown = cellClass[cell] !== CELL_CLASS.notKnown;
    paths.cellClass[column] = cellClass[cell];
    paths.mayServe[column] = isNear && isKnown && distanceKm <= mast.serviceKm ? 1 : 0;
    elevateRay(paths, column, SINES[HORIZON + raysCdeg[2 * cell]], SINES[HORIZON + raysCdeg[2 * cell + 1]]);
    const beyondDb = isKnown ? excessDb[cell] + computeCalibrationDb(mast, cellClass[cell], distanceKm) : 0;
    paths.beyondDb[column] = beyondDb;
    const statisticalDb = mast.statisticalDb === null ? 0 : readAtDistance(mast.statisticalDb, distanceKm);
    const lossDb = beyondDb + statisticalDb + mast.gasDbPerKm * distanceKm;
    const gain = Math.exp(lossDb * -NEPERS_PER_DB) / (distanceKm * distanceKm);
    paths.pathGain[column] = clutterGain === null ? gain : gain * clutterGain[clutter[column]];
  }
}

function computeCalibrationDb(mast: MastLayer, sight: number, distanceKm: number): number {
  return mast.calibrationDb === null ? 0 : readAtDistance(mast.calibrationDb[sight], distanceKm);
}

/** Row of the layer that holds a row of the area, or -1. */
function findRow(layer: LossLayer, row: number): number {
  const own = (row + layer.rowOffset) >> layer.shift;
  return own >= 0 && own < layer.window.height ? own : -1;
}

/** Place of a cell of the area in the layer's rasters, or -1 where they do not answer it. */
function findCell(layer: LossLayer, ownRow: number, column: number): number {
  const own = (column + layer.columnOffset) >> layer.shift;
  if (own < 0 || own >= layer.window.width) return -1;
  const cell = ownRow * layer.window.width + own;
  return layer.rasters.cellClass[cell] === CELL_CLASS.outside ? -1 : cell;
}

/** Distance in km, and the level unit vectors at both ends; meridians turn by so little that a sine is its angle. */
function fillDirection({ rows }: MastLayer, row: number, column: number, paths: RowPaths): number {
  const across = column + 0.5 - rows.originColumn;
  const eastM = rows.eastPerColumnM[row] * across;
  const northM = rows.northM[row];
  const rangeM = Math.sqrt(eastM * eastM + northM * northM) + 1e-9;
  const east = eastM / rangeM;
  const north = northM / rangeM;
  const turn = rows.turnPerColumnRad[row] * across;
  const straight = 1 - (turn * turn) / 2;
  paths.outEast[column] = east * straight - north * turn;
  paths.outNorth[column] = north * straight + east * turn;
  paths.backEast[column] = -(east * straight + north * turn);
  paths.backNorth[column] = -(north * straight - east * turn);
  const distanceKm = Math.max(LEAST_DISTANCE_KM, rangeM / 1000);
  paths.distanceKm[column] = distanceKm;
  return distanceKm;
}

/** Lifts the level unit vectors to the elevations of the ray, given as sines. */
function elevateRay(paths: RowPaths, column: number, departure: number, arrival: number): void {
  const out = Math.sqrt(1 - departure * departure);
  const back = Math.sqrt(1 - arrival * arrival);
  paths.outEast[column] *= out;
  paths.outNorth[column] *= out;
  paths.outUp[column] = departure;
  paths.backEast[column] *= back;
  paths.backNorth[column] *= back;
  paths.backUp[column] = arrival;
}
