import { addBullingtonTailDb, computeBullingtonTailDb } from "./bullington.ts";
import { computeKnifeEdgeLossDb } from "./knife-edge.ts";
import { computeLeastClearanceRoot } from "./spherical-earth.ts";

/** nu^2 from which a knife edge below the line costs nothing: J = 0 for nu <= -0.78. Source: ITU-R P.526-15 eq (31). */
export const FREE_EDGE_NU2 = 0.78 * 0.78;

/** Constants of paths whose points lie at equal steps. */
export interface StepFrame {
  stepM: number;
  /** step^2 / (2 a), m: the Earth's bulge over d1 and d2 steps from the ends is bulgeM d1 d2. */
  bulgeM: number;
  /** 2 / (step lambda), 1/m^2: nu^2 of slopes a and b per step over x steps is nuScale x a b. */
  nuScale: number;
}

/** Antenna heights over a smooth surface, m. */
export interface SmoothHeights {
  txHeightM: number;
  rxHeightM: number;
}

/** Constants of a step over an effective Earth, at a wavelength. */
export function createStepFrame(stepM: number, wavelengthM: number, effectiveEarthRadiusM: number): StepFrame {
  return { stepM, bulgeM: (stepM * stepM) / (2 * effectiveEarthRadiusM), nuScale: 2 / (stepM * wavelengthM) };
}

/**
 * Bullington loss of a smooth path (every height 0), dB, in constant time: equal to `computeBullingtonLoss` over the samples
 * 1..samples, because each of its functions of the distance has one peak and the samples beside it are tried.
 * Source: ITU-R P.1812-6, section 4.3.1, eqs (13) to (21) with g = 0, as eq (38) asks.
 * @param steps length of the path in steps, not always whole. @param samples interior points, 1 or more.
 */
export function computeSmoothBullingtonDb(
  frame: StepFrame,
  { txHeightM: h1, rxHeightM: h2 }: SmoothHeights,
  steps: number,
  samples: number,
): number {
  const { bulgeM: k, nuScale, stepM } = frame;
  const tailDb = computeBullingtonTailDb(steps * stepM);
  const slope = (h2 - k * steps * steps - h1) / steps;
  const a = findLargestSlope(h1, Math.sqrt(h1 / k), { origin: 0, sign: 1, samples, k }) - slope;
  if (a >= 0) {
    const far = { origin: steps, sign: -1, samples, k } as const;
    const b = findLargestSlope(h2, steps - Math.sqrt(h2 / k), far) + 2 * k * steps + slope;
    return addBullingtonTailDb(computeKnifeEdgeLossDb(Math.sqrt(Math.max(0, nuScale * steps * a * b))), tailDb);
  }
  const peak = (steps * (1 + findClearanceRoot(h1, h2, steps, k))) / 2;
  const nu2 = findLeastNuSquared(frame, h1, slope, { peak, steps, samples });
  return nu2 >= FREE_EDGE_NU2 ? 0 : addBullingtonTailDb(computeKnifeEdgeLossDb(-Math.sqrt(nu2)), tailDb);
}

/** One end that looks along the samples: distances in steps from `origin`, `sign` -1 backward; k as `bulgeM`. */
interface View {
  origin: number;
  sign: 1 | -1;
  samples: number;
  k: number;
}

/** The greater of -(k u + h / u) at the two samples beside `peak`, u being the distance in steps from the origin. */
function findLargestSlope(h: number, peak: number, { origin, sign, samples, k }: View): number {
  const low = holdToSamples(Math.floor(peak), samples);
  const high = holdToSamples(Math.ceil(peak), samples);
  const uLow = (low - origin) * sign;
  const uHigh = (high - origin) * sign;
  return Math.max(-(k * uLow + h / uLow), -(k * uHigh + h / uHigh));
}

/** Root b of the point of least clearance, in steps. Source: ITU-R P.526-15 section 3.2, P.1812-6 eq (24). */
function findClearanceRoot(h1: number, h2: number, steps: number, k: number): number {
  return computeLeastClearanceRoot((h1 - h2) / (h1 + h2), (k * steps * steps) / (2 * (h1 + h2)));
}

/** Least nu^2 of the two samples beside the point of least clearance. */
function findLeastNuSquared(
  { bulgeM: k, nuScale }: StepFrame,
  h1: number,
  slope: number,
  { peak, steps, samples }: { peak: number; steps: number; samples: number },
): number {
  const low = holdToSamples(Math.floor(peak), samples);
  const high = holdToSamples(Math.ceil(peak), samples);
  const cLow = -k * low * low - h1 - slope * low;
  const cHigh = -k * high * high - h1 - slope * high;
  const least = Math.min((cLow * cLow) / (low * (steps - low)), (cHigh * cHigh) / (high * (steps - high)));
  return nuScale * steps * least;
}

/** A place between samples, rounded, held to 1..samples. */
function holdToSamples(place: number, samples: number): number {
  return Math.min(samples, Math.max(1, place));
}
