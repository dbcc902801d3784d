import { dbFromRatio, RAD_PER_DEG, ratioFromDb, wavelengthM } from "@fellmark/units";
import type { AntennaPattern, Port } from "../pattern.ts";
import { mastScatterShare } from "./mast-scatter.ts";

/** Far field of a round antenna: its two principal planes hold all of it. */
export interface RoundSource {
  radiusM: number;
  /**
   * Writes the complex field at an angle off boresight, 0 to pi: real and imaginary part in the E plane, then in the
   * H plane. Any scale; zero phase at the centre of the aperture, so that it turns slowly with the angle.
   */
  field(offRad: number, out: Float64Array): void;
  /** Power that goes elsewhere, in the polarisation of the port: its share of the whole, and its shape by angle. */
  strays: readonly { share: number; shape: (offRad: number) => number }[];
}

export interface SynthesisOptions {
  frequencyGhz: number;
  lossDb: number;
  /** Scatter of the mast included. */
  scatter: boolean;
}

/** Turn of the phase at the rim from sample to sample; linear reading is then within 0.01 dB. */
const STEP_AT_RIM_RAD = 0.08;
/** Keeps the logarithm finite where a field is exactly zero: -120 dBi. */
const NOTHING = 1e-12;

interface RoundTables {
  stepRad: number;
  /** E plane and H plane, interleaved: e re, e im, h re, h im; squares are gains. */
  fields: Float32Array;
  /** Gain of everything that has no phase, co-polar. */
  strays: Float32Array;
  crossFloor: number;
}

/**
 * The pattern of a round antenna from its E and H planes: co-polar (E + H)/2 - (E - H)/2 cos 2a, cross-polar
 * (E - H)/2 sin 2a, a from the H plane, in Ludwig's third definition. Gain is the directivity by integration over the
 * sphere, all strays and both polarisations included, less the loss.
 * Source: bodies of revolution excited by modes of azimuth order 1, P.-S. Kildal, Foundations of Antennas, 2.4.
 */
export function roundPattern(source: RoundSource, options: SynthesisOptions): AntennaPattern {
  const tables = roundTables(source, options);
  return {
    peakGainDbi: dbFromRatio(peakGain(tables)),
    levels: "actual",
    gainDbi: (azimuthDeg, elevationDeg, port) => readRound(tables, azimuthDeg, elevationDeg, port, false),
    crossGainDbi: (azimuthDeg, elevationDeg, port) => readRound(tables, azimuthDeg, elevationDeg, port, true),
  };
}

function roundTables(source: RoundSource, options: SynthesisOptions): RoundTables {
  const { fields, stepRad } = sampleFields(source, wavelengthM(options.frequencyGhz));
  const samples = fields.length / 4;
  const strays = new Float64Array(samples);
  const strayShare = source.strays.reduce((sum, { share }) => sum + share, 0);
  for (const { share, shape } of source.strays) {
    const intensity = Float64Array.from({ length: samples }, (_, i) => shape(i * stepRad));
    const mean = meanOverSphere((i) => intensity[i], samples, stepRad);
    for (let i = 0; i < samples; i++) strays[i] += (share * intensity[i]) / mean;
  }
  const mean = meanOverSphere((i) => planesPower(fields, i) / 2, samples, stepRad);
  const coherent = (1 - strayShare) / mean;
  const peak = peakGain({ stepRad, fields: fields.map((part) => part * Math.sqrt(coherent)), strays, crossFloor: 0 });
  const scattered = options.scatter ? mastScatterShare(peak) : 0;
  const kept = (1 - scattered) * ratioFromDb(-options.lossDb);
  const floor = (scattered / 2) * ratioFromDb(-options.lossDb);
  return {
    stepRad,
    fields: Float32Array.from(fields, (part) => part * Math.sqrt(coherent * kept)),
    strays: Float32Array.from(strays, (gain) => gain * kept + floor),
    crossFloor: floor,
  };
}

function sampleFields(source: RoundSource, lambdaM: number): { fields: Float64Array; stepRad: number } {
  const rimRad = (2 * Math.PI * source.radiusM) / lambdaM;
  const steps = Math.max(360, 2 * Math.ceil((Math.PI * rimRad) / STEP_AT_RIM_RAD / 2));
  const stepRad = Math.PI / steps;
  const fields = new Float64Array(4 * (steps + 1));
  for (let i = 0; i <= steps; i++) source.field(i * stepRad, fields.subarray(4 * i, 4 * i + 4));
  return { fields, stepRad };
}

/** Sum of the powers in both planes: twice the mean of co- and cross-polar power around the axis. */
function planesPower(fields: Float64Array, i: number): number {
  return fields[4 * i] ** 2 + fields[4 * i + 1] ** 2 + fields[4 * i + 2] ** 2 + fields[4 * i + 3] ** 2;
}

/** Simpson's rule over rings. */
function meanOverSphere(intensity: (i: number) => number, samples: number, stepRad: number): number {
  let sum = 0;
  for (let i = 1; i < samples - 1; i++) sum += (i % 2 === 1 ? 4 : 2) * intensity(i) * Math.sin(i * stepRad);
  return (sum * stepRad) / 3 / 2;
}

/** The co-polar level around the axis lies between those of the two planes. */
function peakGain({
  fields,
  strays,
}: { fields: Float32Array | Float64Array; strays: ArrayLike<number> } & Omit<
  RoundTables,
  "fields" | "strays"
>): number {
  let peak = 0;
  for (let i = 0; i < strays.length; i++) {
    const e = fields[4 * i] ** 2 + fields[4 * i + 1] ** 2;
    const h = fields[4 * i + 2] ** 2 + fields[4 * i + 3] ** 2;
    peak = Math.max(peak, Math.max(e, h) + strays[i]);
  }
  return peak;
}

function readRound(tables: RoundTables, azimuthDeg: number, elevationDeg: number, port: Port, cross: boolean): number {
  const [azimuth, elevation] = [azimuthDeg * RAD_PER_DEG, elevationDeg * RAD_PER_DEG];
  const right = Math.cos(elevation) * Math.sin(azimuth);
  const up = Math.sin(elevation);
  const aside = right * right + up * up;
  const place = Math.atan2(Math.sqrt(aside), Math.cos(elevation) * Math.cos(azimuth)) / tables.stepRad;
  const i = Math.min(Math.floor(place), tables.strays.length - 2);
  const t = place - i;
  // From the H plane, which lies across for the vertical port and upright for the horizontal one.
  const cosine = aside === 0 ? 1 : ((port === 1 ? 1 : -1) * (right * right - up * up)) / aside;
  const sine = aside === 0 ? 0 : (2 * right * up) / aside;
  const { fields, strays } = tables;
  const at = (part: number): number => fields[4 * i + part] + t * (fields[4 * i + 4 + part] - fields[4 * i + part]);
  const [eRe, eIm, hRe, hIm] = [at(0), at(1), at(2), at(3)];
  if (cross) {
    const split = (((eRe - hRe) / 2) ** 2 + ((eIm - hIm) / 2) ** 2) * sine ** 2;
    return dbFromRatio(split + tables.crossFloor + NOTHING);
  }
  const re = (eRe + hRe) / 2 - ((eRe - hRe) / 2) * cosine;
  const im = (eIm + hIm) / 2 - ((eIm - hIm) / 2) * cosine;
  return dbFromRatio(re * re + im * im + strays[i] + t * (strays[i + 1] - strays[i]) + NOTHING);
}
