import { computeWavelengthM, RAD_PER_DEG } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { createSynthesisedPattern, type SynthesisOptions } from "./synthesised-pattern.ts";

/** Far field of a round antenna, determined by its two principal planes. */
export interface RoundSource {
  radiusM: number;
  /**
   * Writes the complex field at an angle off boresight, 0 to pi: real and imaginary part in the E plane, then in the
   * H plane. Any scale; zero phase at the centre of the aperture, so that it turns slowly with the angle.
   */
  field(offRad: number, out: Float64Array): void;
  /** Stray power in the polarisation of the port: its share of the whole, and its shape by angle. */
  strays: readonly { share: number; shape: (offRad: number) => number }[];
}

/** Phase step at the rim from sample to sample: linear interpolation is within 0.01 dB. */
const STEP_AT_RIM_RAD = 0.08;

interface RoundTables {
  stepRad: number;
  /** E plane and H plane, interleaved: e re, e im, h re, h im; squares are directivities. */
  fields: Float32Array;
  /** Directivity of the incoherent power, co-polar. */
  strays: Float32Array;
}

/**
 * Returns the pattern of a round antenna from its E and H planes: co-polar (H + E)/2 + (H - E)/2 cos 2a, cross-polar
 * (H - E)/2 sin 2a, a from the H plane, in Ludwig's third definition. Gain is the directivity by integration over the
 * sphere, all strays and both polarisations included, less the loss.
 * Source: bodies of revolution excited by modes of azimuth order 1, P.-S. Kildal, Foundations of Antennas, 2.4.
 */
export function createRoundPattern(source: RoundSource, options: SynthesisOptions): AntennaPattern {
  const tables = roundTables(source, computeWavelengthM(options.frequencyGhz));
  const toward = (polarisation: "co" | "cross", azimuthDeg: number, elevationDeg: number, port: Port): number =>
    readRound(tables, polarisation, azimuthDeg, elevationDeg, port);
  return createSynthesisedPattern({ peak: findPeakPower(tables), toward }, options);
}

function roundTables(source: RoundSource, lambdaM: number): RoundTables {
  const { fields, stepRad } = sampleFields(source, lambdaM);
  const strays = new Float64Array(fields.length / 4);
  let strayShare = 0;
  for (const { share, shape } of source.strays) {
    const intensity = strays.map((_, i) => shape(i * stepRad));
    const mean = computeMeanOverSphere(intensity, stepRad);
    for (let i = 0; i < strays.length; i++) strays[i] += (share * intensity[i]) / mean;
    strayShare += share;
  }
  const coherent = strays.map((_, i) => (computePlanePower(fields, 4 * i) + computePlanePower(fields, 4 * i + 2)) / 2);
  const root = Math.sqrt((1 - strayShare) / computeMeanOverSphere(coherent, stepRad));
  return { stepRad, fields: Float32Array.from(fields, (part) => part * root), strays: Float32Array.from(strays) };
}

function sampleFields(source: RoundSource, lambdaM: number): { fields: Float64Array; stepRad: number } {
  const rimRad = (2 * Math.PI * source.radiusM) / lambdaM;
  const steps = Math.max(360, 2 * Math.ceil((Math.PI * rimRad) / STEP_AT_RIM_RAD / 2));
  const stepRad = Math.PI / steps;
  const fields = new Float64Array(4 * (steps + 1));
  for (let i = 0; i <= steps; i++) source.field(i * stepRad, fields.subarray(4 * i, 4 * i + 4));
  return { fields, stepRad };
}

function computePlanePower(fields: Float64Array | Float32Array, i: number): number {
  return fields[i] ** 2 + fields[i + 1] ** 2;
}

/** Returns the mean over the sphere by Simpson's rule over rings; needs an even number of steps. */
function computeMeanOverSphere(intensity: Float64Array, stepRad: number): number {
  let sum = 0;
  for (let i = 1; i < intensity.length - 1; i++) sum += (i % 2 === 1 ? 4 : 2) * intensity[i] * Math.sin(i * stepRad);
  return (sum * stepRad) / 3 / 2;
}

/** Returns the peak; around the axis the co-polar level lies between those of the two planes. */
function findPeakPower({ fields, strays }: RoundTables): number {
  let peak = 0;
  for (let i = 0; i < strays.length; i++) {
    peak = Math.max(peak, Math.max(computePlanePower(fields, 4 * i), computePlanePower(fields, 4 * i + 2)) + strays[i]);
  }
  return peak;
}

function readRound(
  { stepRad, fields, strays }: RoundTables,
  polarisation: "co" | "cross",
  azimuthDeg: number,
  elevationDeg: number,
  port: Port,
): number {
  const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
  const right = Math.cos(elevation) * Math.sin(azimuth);
  const up = Math.sin(elevation);
  const aside = right * right + up * up;
  const place = Math.atan2(Math.sqrt(aside), Math.cos(elevation) * Math.cos(azimuth)) / stepRad;
  const i = Math.min(Math.floor(place), strays.length - 2);
  const t = place - i;
  const at = (part: number): number => fields[4 * i + part] + t * (fields[4 * i + 4 + part] - fields[4 * i + part]);
  const [halfRe, halfIm] = [(at(2) - at(0)) / 2, (at(3) - at(1)) / 2];
  if (polarisation === "cross") {
    const sine = aside === 0 ? 0 : (2 * right * up) / aside;
    return (halfRe * halfRe + halfIm * halfIm) * sine * sine;
  }
  // The H plane lies across for the vertical port and upright for the horizontal one.
  const cosine = aside === 0 ? 1 : ((port === 1 ? 1 : -1) * (right * right - up * up)) / aside;
  const re = at(0) + halfRe * (1 + cosine);
  const im = at(1) + halfIm * (1 + cosine);
  return re * re + im * im + strays[i] + t * (strays[i + 1] - strays[i]);
}
