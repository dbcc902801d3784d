import { DEG_PER_RAD } from "@fellmark/units";
import { besselJ } from "./bessel.ts";
import { integrate } from "./integrate.ts";
import { type Lobes, lobesOf } from "./lobes.ts";

/** Amplitude over an aperture, by place from 0 at the centre to 1 at the edge. */
export type Illumination = (place: number) => number;

/** What an aperture of width L (or diameter D) does; angles are small, in units of wavelength over L. */
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

/** cos^n of the place: 1 and 2 are the cosine and the cosine squared. */
export function cosinePower(power: number): Illumination {
  return (place) => Math.cos((Math.PI / 2) * place) ** power;
}

export const TRIANGULAR: Illumination = (place) => 1 - place;

/** A cosine that ends on a pedestal; `pedestalDb` is the level at the edge below the centre, positive. */
export function cosineOnPedestal(pedestalDb: number): Illumination {
  const pedestal = 10 ** (-Math.abs(pedestalDb) / 20);
  return (place) => pedestal + (1 - pedestal) * Math.cos((Math.PI / 2) * place);
}

/** (1 - r^2)^n: 0 is even light, 1 parabolic, 2 parabolic squared. */
export function parabolicPower(power: number): Illumination {
  return (place) => (1 - place ** 2) ** power;
}

/**
 * A line source, or one side of a rectangular aperture whose light is a product.
 * Source: the Fourier transform of the aperture (C. A. Balanis, Antenna Theory, chapter 12).
 * Example: even light: 50.76 degrees, null at 1, -13.26 dB, efficiency 1.
 */
export function lineAperture(light: Illumination): ApertureParameters {
  const lobes = lobesOf((u) => integrate((x) => light(x) * Math.cos(Math.PI * u * x), 0, 1, PANELS), 0.02, WIDEST);
  const sum = integrate(light, 0, 1, PANELS);
  return parameters(lobes, sum ** 2 / integrate((x) => light(x) ** 2, 0, 1, PANELS));
}

/**
 * A round aperture.
 * Source: the Hankel transform of the aperture (C. A. Balanis, Antenna Theory, chapter 12).
 * Example: even light: 58.96 degrees, null at 1.2197, -17.57 dB, efficiency 1.
 */
export function roundAperture(light: Illumination): ApertureParameters {
  const amplitude = (u: number): number => integrate((r) => light(r) * besselJ(0, Math.PI * u * r) * r, 0, 1, PANELS);
  const sum = integrate((r) => light(r) * r, 0, 1, PANELS);
  return parameters(
    lobesOf(amplitude, 0.02, WIDEST),
    (2 * sum ** 2) / integrate((r) => light(r) ** 2 * r, 0, 1, PANELS),
  );
}

function parameters({ halfPowerAt, firstNullAt, firstSideLobeDb }: Lobes, efficiency: number): ApertureParameters {
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
export function airyPowerWithin(x: number): number {
  return 1 - besselJ(0, x) ** 2 - besselJ(1, x) ** 2;
}

/** Share of the power of an evenly lit line within its first nulls: 0.902823; of a square, its square. */
export function sincPowerInMainLobe(): number {
  return 2 * integrate((u) => (u === 0 ? 1 : (Math.sin(Math.PI * u) / (Math.PI * u)) ** 2), 0, 1, PANELS);
}
