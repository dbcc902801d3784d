import { type AntennaPattern, type Pointing, toAntennaFrame } from "@fellmark/antenna";

/** Steps of a table, degrees: linear interpolation in dB stays within 0.1 dB on a beam 5 degrees wide. */
const AZIMUTH_STEP_DEG = 0.5;
const ELEVATION_STEP_DEG = 0.25;
const AZIMUTHS = 360 / AZIMUTH_STEP_DEG;

/**
 * Gain of a mounted antenna over true azimuth and elevation, dBi, with pointing and tilt baked in.
 * Row-major by elevation; each row holds AZIMUTHS + 1 columns, the last repeating the first. Shared memory.
 */
export interface GainTable {
  gainsDbi: Float32Array;
  lowestElevationDeg: number;
  elevations: number;
}

/** Bakes the gain of `port` between two elevations (degrees, both included). */
export function bakeGainTable(
  pattern: AntennaPattern,
  pointing: Pointing,
  port: 0 | 1,
  fromElevationDeg: number,
  toElevationDeg: number,
): GainTable {
  const first = Math.floor(fromElevationDeg / ELEVATION_STEP_DEG);
  const elevations = Math.max(2, Math.ceil(toElevationDeg / ELEVATION_STEP_DEG) - first + 1);
  const columns = AZIMUTHS + 1;
  const gainsDbi = new Float32Array(new SharedArrayBuffer(elevations * columns * 4));
  for (let row = 0; row < elevations; row++) {
    const elevationDeg = Math.max(-90, Math.min(90, (first + row) * ELEVATION_STEP_DEG));
    for (let column = 0; column < columns; column++) {
      const own = toAntennaFrame(column * AZIMUTH_STEP_DEG, elevationDeg, pointing);
      gainsDbi[row * columns + column] = pattern.gainDbi(own.azimuthDeg, own.elevationDeg, port);
    }
  }
  return { gainsDbi, lowestElevationDeg: first * ELEVATION_STEP_DEG, elevations };
}

/** Gain toward a true azimuth (0..360) and elevation, dBi; the table must cover the elevation. */
export function tabulatedGainDbi(table: GainTable, azimuthDeg: number, elevationDeg: number): number {
  const columns = AZIMUTHS + 1;
  const x = azimuthDeg * (1 / AZIMUTH_STEP_DEG);
  const y = (elevationDeg - table.lowestElevationDeg) * (1 / ELEVATION_STEP_DEG);
  const column = Math.min(AZIMUTHS - 1, x | 0);
  const row = Math.max(0, Math.min(table.elevations - 2, y | 0));
  const u = x - column;
  const v = y - row;
  const at = row * columns + column;
  const { gainsDbi } = table;
  const low = gainsDbi[at] * (1 - u) + gainsDbi[at + 1] * u;
  const high = gainsDbi[at + columns] * (1 - u) + gainsDbi[at + columns + 1] * u;
  return low + (high - low) * v;
}
