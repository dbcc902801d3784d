import { type AntennaPattern, type Pointing, type Port, toAntennaFrame } from "@fellmark/antenna";

/** Columns of a table, a degree of azimuth each; the last repeats the first. */
const AZIMUTHS = 360;
const COLUMNS = AZIMUTHS + 1;

/** Rows lie close where rays run, near the horizon, and wide apart towards zenith and nadir. */
const FINE_STEP_DEG = 0.25;
const FINE_LIMIT_DEG = 12;
const COARSE_STEP_DEG = 1.5;
const FINE_ROWS = FINE_LIMIT_DEG / FINE_STEP_DEG;
const HALF_ROWS = FINE_ROWS + (90 - FINE_LIMIT_DEG) / COARSE_STEP_DEG;
const ROWS = 2 * HALF_ROWS + 1;

/**
 * Gain of a mounted antenna over true azimuth and elevation, dBi, with pointing and tilt baked in; row-major by
 * elevation from nadir to zenith. Shared memory.
 */
export type GainTable = Float32Array;

export function bakeGainTable(pattern: AntennaPattern, pointing: Pointing, port: Port): GainTable {
  const table = new Float32Array(new SharedArrayBuffer(4 * ROWS * COLUMNS));
  for (let row = 0; row < ROWS; row++) {
    const elevationDeg = elevationOfRow(row - HALF_ROWS);
    for (let column = 0; column < COLUMNS; column++) {
      const own = toAntennaFrame(column, elevationDeg, pointing);
      table[row * COLUMNS + column] = pattern.gainDbi(own.azimuthDeg, own.elevationDeg, port);
    }
  }
  return table;
}

/** Elevation of a row counted from the horizon, negative below it. */
function elevationOfRow(row: number): number {
  const fine = Math.max(-FINE_ROWS, Math.min(FINE_ROWS, row));
  return fine * FINE_STEP_DEG + (row - fine) * COARSE_STEP_DEG;
}

/** Gain toward a true azimuth (0 to 360) and elevation, dBi, by linear interpolation in dB. */
export function tabulatedGainDbi(table: GainTable, azimuthDeg: number, elevationDeg: number): number {
  const fineDeg = Math.max(-FINE_LIMIT_DEG, Math.min(FINE_LIMIT_DEG, elevationDeg));
  const y = HALF_ROWS + fineDeg * (1 / FINE_STEP_DEG) + (elevationDeg - fineDeg) * (1 / COARSE_STEP_DEG);
  const column = Math.min(AZIMUTHS - 1, azimuthDeg | 0);
  const row = Math.min(ROWS - 2, y | 0);
  const u = azimuthDeg - column;
  const at = row * COLUMNS + column;
  const low = table[at] * (1 - u) + table[at + 1] * u;
  const high = table[at + COLUMNS] * (1 - u) + table[at + COLUMNS + 1] * u;
  return low + (high - low) * (y - row);
}
