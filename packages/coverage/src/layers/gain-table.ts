import type { Port } from "@fellmark/antenna";
import { DEG_PER_RAD, NEPERS_PER_DB } from "@fellmark/units";

/** Columns to a quarter turn of azimuth. */
const QUARTER_COLUMNS = 192;
const AZIMUTH_STEPS = 4 * QUARTER_COLUMNS;
/** The first two columns stand again at the end, and the last row once more, so that no place needs a bound. */
const COLUMNS = AZIMUTH_STEPS + 2;

/** Rows lie close where rays run, near the antenna's own horizon, and wide apart towards its zenith and nadir. */
const FINE_ROWS_PER_UNIT = 384;
const COARSE_ROWS_PER_UNIT = 64;
const FINE_LIMIT = 0.5;
const HALF_ROWS = FINE_LIMIT * FINE_ROWS_PER_UNIT + (1 - FINE_LIMIT) * COARSE_ROWS_PER_UNIT;
const ROWS = 2 * HALF_ROWS + 1;

/**
 * Field strength of an antenna (square root of its gain, linear) over its own sphere, in coordinates that a direction
 * vector gives without trigonometry: columns by the turn of the azimuth, rows by the sine of the elevation. Fields pass
 * smoothly where levels in dB do not. Shared memory, row-major from nadir to zenith, azimuth from straight behind.
 */
export type GainTable = Float32Array;

/** Gain, dBi, as an antenna pattern gives it. */
export type GainOf = (azimuthDeg: number, elevationDeg: number, port: Port) => number;

export function bakeGainTable(gainDbi: GainOf, port: Port): GainTable {
  const table = new Float32Array(new SharedArrayBuffer(4 * (ROWS + 1) * COLUMNS));
  const azimuths = Float64Array.from({ length: AZIMUTH_STEPS }, (_, column) => toAzimuth(column / QUARTER_COLUMNS));
  for (let row = 0; row < ROWS; row++) {
    const elevationDeg = Math.asin(toSine(row - HALF_ROWS)) * DEG_PER_RAD;
    for (let column = 0; column < AZIMUTH_STEPS; column++) {
      table[row * COLUMNS + column] = Math.exp((gainDbi(azimuths[column], elevationDeg, port) * NEPERS_PER_DB) / 2);
    }
    table[row * COLUMNS + AZIMUTH_STEPS] = table[row * COLUMNS];
    table[row * COLUMNS + AZIMUTH_STEPS + 1] = table[row * COLUMNS + 1];
  }
  table.copyWithin(ROWS * COLUMNS, (ROWS - 1) * COLUMNS, ROWS * COLUMNS);
  return table;
}

/** Azimuth of a turn: 0 and 4 are behind, 1 is left, 2 ahead, 3 right; between them as `readFieldToward` measures it. */
function toAzimuth(turn: number): number {
  const quarter = Math.floor(turn);
  const share = turn - quarter;
  return -180 + 90 * quarter + Math.atan2(share, 1 - share) * DEG_PER_RAD;
}

/** Sine of the elevation of a row counted from the horizon, negative below it. */
function toSine(row: number): number {
  const fineRows = FINE_LIMIT * FINE_ROWS_PER_UNIT;
  const fine = Math.max(-fineRows, Math.min(fineRows, row));
  return fine / FINE_ROWS_PER_UNIT + (row - fine) / COARSE_ROWS_PER_UNIT;
}

/**
 * Field toward a direction given as a unit vector in the antenna's frame, by linear interpolation. The turn of the
 * azimuth is its share of the square |ahead| + |right| = 1 in place of the circle. No component may exceed 1.
 */
export function readFieldToward(table: GainTable, ahead: number, right: number, up: number): number {
  const along = ahead / (Math.abs(ahead) + Math.abs(right) + 1e-30);
  const x = (right < 0 ? 1 + along : 3 - along) * QUARTER_COLUMNS;
  const fine = Math.max(-FINE_LIMIT, Math.min(FINE_LIMIT, up));
  const y = HALF_ROWS + fine * FINE_ROWS_PER_UNIT + (up - fine) * COARSE_ROWS_PER_UNIT;
  const column = x | 0;
  const row = y | 0;
  const u = x - column;
  const at = row * COLUMNS + column;
  const low = table[at] + (table[at + 1] - table[at]) * u;
  const high = table[at + COLUMNS] + (table[at + COLUMNS + 1] - table[at + COLUMNS]) * u;
  return low + (high - low) * (y - row);
}
