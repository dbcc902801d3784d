import { findGeodesicPoint } from "./geodesic.ts";
import { type LonLat, toLatticeColumn, toLatticeRow } from "./lattice.ts";

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
 * Returns the quadratic through the origin and the exact geodesic points at half and at full range.
 * Accuracy against the geodesic: within 0.1 m at 40 km (a test).
 * @param steps number of steps of `stepM` to full range; real-valued.
 */
export function createRadialTrack(
  origin: LonLat,
  zoom: number,
  azimuthDeg: number,
  stepM: number,
  steps: number,
): RadialTrack {
  const half = findGeodesicPoint(origin, azimuthDeg, (stepM * steps) / 2);
  const full = findGeodesicPoint(origin, azimuthDeg, stepM * steps);
  const column0 = toLatticeColumn(origin.lon, zoom);
  const row0 = toLatticeRow(origin.lat, zoom);
  const columnHalf = toLatticeColumn(half.lon, zoom) - column0;
  const columnFull = toLatticeColumn(full.lon, zoom) - column0;
  const rowHalf = toLatticeRow(half.lat, zoom) - row0;
  const rowFull = toLatticeRow(full.lat, zoom) - row0;
  return {
    columnPerStep: (4 * columnHalf - columnFull) / steps,
    columnPerStep2: (2 * columnFull - 4 * columnHalf) / (steps * steps),
    rowPerStep: (4 * rowHalf - rowFull) / steps,
    rowPerStep2: (2 * rowFull - 4 * rowHalf) / (steps * steps),
  };
}

/** Number of exact tracks in a fan: a geodesic takes about 15 us, a track from the fan less than 1 us. */
const FAN_SAMPLES = 64;

/** Orders of a series; the terms fall by about range / (Earth radius cos latitude) per order. */
const ORDERS = 12;

/** Fourier series of a function of period 360 degrees: weights of cos and sin by order. */
interface FourierSeries {
  cosines: Float64Array;
  sines: Float64Array;
}

/** Tracks of all azimuths around one origin, as Fourier series of the terms of a track. */
export type RadialFan = { [Term in keyof RadialTrack]: FourierSeries };

/**
 * Returns the fan through a few exact tracks. The terms of a track are smooth periodic functions of the azimuth, so the
 * series gives all others within rounding (a test: 1e-6 cells).
 */
export function createRadialFan(origin: LonLat, zoom: number, stepM: number, steps: number): RadialFan {
  const exact = Array.from({ length: FAN_SAMPLES }, (_, sample) =>
    createRadialTrack(origin, zoom, (sample * 360) / FAN_SAMPLES, stepM, steps),
  );
  return {
    columnPerStep: fitFourierSeries(exact.map((track) => track.columnPerStep)),
    columnPerStep2: fitFourierSeries(exact.map((track) => track.columnPerStep2)),
    rowPerStep: fitFourierSeries(exact.map((track) => track.rowPerStep)),
    rowPerStep2: fitFourierSeries(exact.map((track) => track.rowPerStep2)),
  };
}

/** Returns the track of a fan along an azimuth. */
export function findFanTrack(fan: RadialFan, azimuthDeg: number): RadialTrack {
  return {
    columnPerStep: evaluateSeries(fan.columnPerStep, azimuthDeg),
    columnPerStep2: evaluateSeries(fan.columnPerStep2, azimuthDeg),
    rowPerStep: evaluateSeries(fan.rowPerStep, azimuthDeg),
    rowPerStep2: evaluateSeries(fan.rowPerStep2, azimuthDeg),
  };
}

/** Returns the series through equally spaced samples. */
function fitFourierSeries(samples: readonly number[]): FourierSeries {
  const cosines = new Float64Array(ORDERS + 1);
  const sines = new Float64Array(ORDERS + 1);
  samples.forEach((value, sample) => {
    for (let order = 0; order <= ORDERS; order++) {
      const angle = (2 * Math.PI * order * sample) / samples.length;
      const weight = (order === 0 ? 1 : 2) / samples.length;
      cosines[order] += weight * value * Math.cos(angle);
      sines[order] += weight * value * Math.sin(angle);
    }
  });
  return { cosines, sines };
}

/** Returns the value of a series, its sines and cosines by recurrence. */
function evaluateSeries({ cosines, sines }: FourierSeries, angleDeg: number): number {
  const cos1 = Math.cos((angleDeg * Math.PI) / 180);
  const sin1 = Math.sin((angleDeg * Math.PI) / 180);
  let sum = cosines[0];
  let cos = 1;
  let sin = 0;
  for (let order = 1; order <= ORDERS; order++) {
    const turned = cos * cos1 - sin * sin1;
    sin = sin * cos1 + cos * sin1;
    cos = turned;
    sum += cosines[order] * cos + sines[order] * sin;
  }
  return sum;
}
