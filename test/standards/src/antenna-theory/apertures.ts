import { computeBesselJ, integrate } from "@fellmark/antenna";
import { DEG_PER_RAD } from "@fellmark/units";
import { findZero, type Lobes, measureLobes } from "./lobes.ts";

/** Amplitude over an aperture, by place from 0 at the centre to 1 at the edge. */
export type Illumination = (place: number) => number;

/** Pattern parameters of an aperture of width L (or diameter D); angles are small, in units of wavelength over L. */
export interface ApertureParameters {
  halfPowerWidthRad: number;
  halfPowerWidthDeg: number;
  firstNullRad: number;
  firstSideLobeDb: number;
  /** Directivity over that of the evenly lit aperture. */
  efficiency: number;
}

const PANELS = 200;
/** No taper in use widens the main lobe beyond this many wavelengths over L. */
const WIDEST = 6;

export const UNIFORM: Illumination = () => 1;

/** Returns cos^n of the place: 1 and 2 are the cosine and the cosine squared. */
export function createCosinePower(power: number): Illumination {
  return (place) => Math.cos((Math.PI / 2) * place) ** power;
}

export const TRIANGULAR: Illumination = (place) => 1 - place;

/** Returns (1 - r^2)^n: 0 is even light, 1 parabolic, 2 parabolic squared. */
export function createParabolicPower(power: number): Illumination {
  return (place) => (1 - place ** 2) ** power;
}

/**
 * Returns the parameters of a line source, or of one side of a rectangular aperture whose light is a product.
 * Source: the Fourier transform of the aperture (C. A. Balanis, Antenna Theory, chapter 12).
 * Example: even light: 50.76 degrees, null at 1, -13.26 dB, efficiency 1.
 */
export function measureLineAperture(light: Illumination): ApertureParameters {
  const lobes = measureLobes((u) => integrate((x) => light(x) * Math.cos(Math.PI * u * x), 0, 1, PANELS), 0.02, WIDEST);
  const sum = integrate(light, 0, 1, PANELS);
  return toParameters(lobes, sum ** 2 / integrate((x) => light(x) ** 2, 0, 1, PANELS));
}

/**
 * Returns the parameters of a round aperture.
 * Source: the Hankel transform of the aperture (C. A. Balanis, Antenna Theory, chapter 12).
 * Example: even light: 58.96 degrees, null at 1.2197, -17.57 dB, efficiency 1.
 */
export function measureRoundAperture(light: Illumination): ApertureParameters {
  const amplitude = (u: number): number =>
    integrate((r) => light(r) * computeBesselJ(0, Math.PI * u * r) * r, 0, 1, PANELS);
  const sum = integrate((r) => light(r) * r, 0, 1, PANELS);
  return toParameters(
    measureLobes(amplitude, 0.02, WIDEST),
    (2 * sum ** 2) / integrate((r) => light(r) ** 2 * r, 0, 1, PANELS),
  );
}

function toParameters({ halfPowerAt, firstNullAt, firstSideLobeDb }: Lobes, efficiency: number): ApertureParameters {
  return {
    halfPowerWidthRad: 2 * halfPowerAt,
    halfPowerWidthDeg: 2 * halfPowerAt * DEG_PER_RAD,
    firstNullRad: firstNullAt,
    firstSideLobeDb,
    efficiency,
  };
}

/**
 * Share of the power of a round, evenly lit aperture within a null of its pattern (small angles).
 * Source: 1 - J0^2 - J1^2 at the null, Lord Rayleigh. Example: 0.8378 within the first, at 3.8317.
 */
export function computeAiryPowerWithin(x: number): number {
  return 1 - computeBesselJ(0, x) ** 2 - computeBesselJ(1, x) ** 2;
}

/** Share of the power of an evenly lit line within its first nulls: 0.902823; of a square, its square. */
export function computeSincMainLobePower(): number {
  return 2 * integrate((u) => (u === 0 ? 1 : (Math.sin(Math.PI * u) / (Math.PI * u)) ** 2), 0, 1, PANELS);
}

/** The first or second zero of J1 after 0, 3.8317 and 7.0156: nulls of a round, evenly lit aperture. */
export function findZeroOfJ1(which: 1 | 2): number {
  const [from, to] = which === 1 ? [3, 4.5] : [6, 8];
  return findZero((x) => computeBesselJ(1, x), from, to);
}
