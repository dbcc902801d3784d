import { RAD_PER_DEG } from "@fellmark/units";
import type { Polarisation } from "../diffraction/spherical-earth.ts";

/** One fitted curve over log10 f: sum of a exp(-((log10 f - b) / c)^2), and m log10 f + c0. */
interface RainCurve {
  a: readonly number[];
  b: readonly number[];
  c: readonly number[];
  m: number;
  c0: number;
}

/** Source: ITU-R P.838-3, tables 1 and 2: log10 k. */
const LOG_K: Readonly<Record<Polarisation, RainCurve>> = {
  horizontal: {
    a: [-5.3398, -0.35351, -0.23789, -0.94158],
    b: [-0.10008, 1.2697, 0.86036, 0.64552],
    c: [1.13098, 0.454, 0.15354, 0.16817],
    m: -0.18961,
    c0: 0.71147,
  },
  vertical: {
    a: [-3.80595, -3.44965, -0.39902, 0.50167],
    b: [0.56934, -0.22911, 0.73042, 1.07319],
    c: [0.81061, 0.51059, 0.11899, 0.27195],
    m: -0.16398,
    c0: 0.63297,
  },
};

/** Source: ITU-R P.838-3, tables 3 and 4: alpha. */
const ALPHA: Readonly<Record<Polarisation, RainCurve>> = {
  horizontal: {
    a: [-0.14318, 0.29591, 0.32177, -5.3761, 16.1721],
    b: [1.82442, 0.77564, 0.63773, -0.9623, -3.2998],
    c: [-0.55187, 0.19822, 0.13164, 1.47828, 3.4399],
    m: 0.67849,
    c0: -1.95537,
  },
  vertical: {
    a: [-0.07771, 0.56727, -0.20238, -48.2991, 48.5833],
    b: [2.3384, 0.95545, 1.1452, 0.791669, 0.791459],
    c: [-0.76284, 0.54039, 0.26809, 0.116226, 0.116479],
    m: -0.053739,
    c0: 0.83433,
  },
};

export interface RainCoefficients {
  k: number;
  alpha: number;
}

/**
 * Coefficients of the power law between rain rate and specific attenuation.
 * Source: ITU-R P.838-3, eqs (2), (3), tables 1 to 4. Valid for: 1 to 1000 GHz.
 * Example: 1 GHz, horizontal: k = 2.589e-5, alpha = 0.969074.
 */
export function computeRainCoefficients(frequencyGhz: number, polarisation: Polarisation): RainCoefficients {
  const logF = Math.log10(frequencyGhz);
  return { k: 10 ** evaluateRainCurve(LOG_K[polarisation], logF), alpha: evaluateRainCurve(ALPHA[polarisation], logF) };
}

/**
 * Coefficients for a path that rises by an elevation angle and a linear polarisation tilted from the horizontal.
 * Source: ITU-R P.838-3, eqs (4), (5). Example: 14.25 GHz, 31.077 degrees, tilt 0: k = 0.039755, alpha = 1.124180.
 */
export function computeRainCoefficientsOnPath(
  frequencyGhz: number,
  elevationDeg: number,
  tiltDeg: number,
): RainCoefficients {
  const h = computeRainCoefficients(frequencyGhz, "horizontal");
  const v = computeRainCoefficients(frequencyGhz, "vertical");
  const turn = Math.cos(elevationDeg * RAD_PER_DEG) ** 2 * Math.cos(2 * tiltDeg * RAD_PER_DEG);
  const k = (h.k + v.k + (h.k - v.k) * turn) / 2;
  return { k, alpha: (h.k * h.alpha + v.k * v.alpha + (h.k * h.alpha - v.k * v.alpha) * turn) / (2 * k) };
}

/**
 * Specific attenuation of rain, dB/km, at a rate in mm/h.
 * Source: ITU-R P.838-3, eq (1). Example: 42 mm/h at 5.8 GHz, horizontal: 0.23354 dB/km.
 */
export function computeRainAttenuationDbPerKm(rainMmPerHour: number, { k, alpha }: RainCoefficients): number {
  return k * rainMmPerHour ** alpha;
}

export interface RainFadeInput {
  distanceM: number;
  frequencyGhz: number;
  /** Rain rate exceeded for 0.01 % of an average year, mm/h. */
  rainMmPerHour: number;
  polarisation: Polarisation;
}

/**
 * Rain attenuation exceeded for 0.01 % of an average year on a whole path, dB.
 * Source: ITU-R P.530-17 and -18, section 2.4.1, eqs (32), (33), by a public transcription; the path reduction r is 2.5
 * at most.
 * Valid for: 5 to 100 GHz, to 60 km. Example: 5 km, 5.8 GHz, 42 mm/h, vertical: 0.5629 dB.
 */
export function computeRainFadeDb({ distanceM, frequencyGhz, rainMmPerHour, polarisation }: RainFadeInput): number {
  const distanceKm = distanceM / 1000;
  const coefficients = computeRainCoefficients(frequencyGhz, polarisation);
  const shrink =
    0.477 * distanceKm ** 0.633 * rainMmPerHour ** (0.073 * coefficients.alpha) * frequencyGhz ** 0.123 -
    10.579 * (1 - Math.exp(-0.024 * distanceKm));
  const reduction = shrink > 0.4 ? 1 / shrink : 2.5;
  return computeRainAttenuationDbPerKm(rainMmPerHour, coefficients) * distanceKm * reduction;
}

/** Least time that rain is scaled to, % of a year: below it the fitted law would turn back. */
const LEAST_YEAR_PERCENT = 1e-4;

/**
 * Rain attenuation exceeded for a percentage of an average year, dB, from that exceeded for 0.01 % of it.
 * Source: ITU-R P.530-17 and -18, section 2.4.1, eqs (34) to (35c), by a public transcription; C0 above 10 GHz is read
 * as the logarithm of (f/10)^0.8. Valid for: 0.001 to 1 % of the year; used beyond, where it stays monotone (to 1e-4 %,
 * and the same below). Example: 0.1 % below 10 GHz: 0.38 of the loss at 0.01 %.
 */
export function computeRainFadeInYearDb(fadeAt001Db: number, frequencyGhz: number, yearPercent: number): number {
  const c0 = frequencyGhz < 10 ? 0.12 : 0.12 + 0.4 * Math.log10((frequencyGhz / 10) ** 0.8);
  const c1 = 0.07 ** c0 * 0.12 ** (1 - c0);
  const c2 = 0.855 * c0 + 0.546 * (1 - c0);
  const c3 = 0.139 * c0 + 0.043 * (1 - c0);
  const percent = Math.max(yearPercent, LEAST_YEAR_PERCENT);
  return fadeAt001Db * c1 * percent ** -(c2 + c3 * Math.log10(percent));
}

/**
 * Percentage of an average year in which rain exceeds the attenuation that it exceeds in a percentage of the average
 * worst month.
 * Source: ITU-R P.841, p = 0.30 pw^1.15 (its values for global planning), from memory. Valid for: 1.9e-4 to 7.8 %.
 * Example: 0.01 % of the worst month: 0.0015 % of the year.
 */
export function toRainYearPercent(worstMonthPercent: number): number {
  return 0.3 * worstMonthPercent ** 1.15;
}

function evaluateRainCurve({ a, b, c, m, c0 }: RainCurve, logF: number): number {
  let sum = m * logF + c0;
  for (let j = 0; j < a.length; j++) sum += a[j] * Math.exp(-(((logF - b[j]) / c[j]) ** 2));
  return sum;
}
