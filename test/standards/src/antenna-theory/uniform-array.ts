import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";
import { measureLobes } from "./lobes.ts";

/** A straight row of equal, isotropic elements. */
export interface UniformArray {
  count: number;
  /** Spacing over the wavelength. */
  spacing: number;
}

export interface UniformArrayParameters {
  /** Angle from broadside; NaN where there is none. */
  firstNullDeg: number;
  halfPowerWidthDeg: number;
  firstSideLobeDb: number;
  /** Linear. */
  directivity: number;
}

/**
 * Returns the parameters of a row fed alike.
 * Source: C. A. Balanis, Antenna Theory, chapter 6. Example: 8 elements half a wavelength apart: null at 14.478
 * degrees, 12.803 degrees wide, -12.797 dB, directivity 8.
 */
export function measureBroadsideArray({ count, spacing }: UniformArray): UniformArrayParameters {
  const weights = new Array<number>(count).fill(1);
  const lobes = measureLobes((sine) => computeArrayFactor(weights, spacing, sine), 0.05 / (count * spacing), 1);
  return {
    firstNullDeg: Math.asin(1 / (count * spacing)) * DEG_PER_RAD,
    halfPowerWidthDeg: 2 * Math.asin(lobes.halfPowerAt) * DEG_PER_RAD,
    firstSideLobeDb: lobes.firstSideLobeDb,
    directivity: computeUniformArrayDirectivity({ count, spacing }),
  };
}

/**
 * Array factor of a straight, evenly spaced row about its middle, weights real and symmetric.
 * @param sine Of the angle from broadside.
 * Example: weights 1, 3, 3, 1 half a wavelength apart: 8 cos^3(pi/2 sine), without side lobes.
 */
export function computeArrayFactor(weights: readonly number[], spacing: number, sine: number): number {
  const middle = (weights.length - 1) / 2;
  return weights.reduce((sum, weight, i) => sum + weight * Math.cos(2 * Math.PI * spacing * (i - middle) * sine), 0);
}

/** Directivity of a row fed alike, of isotropic elements, linear: the count at half a wavelength. */
function computeUniformArrayDirectivity({ count, spacing }: UniformArray): number {
  let mean = count;
  for (let apart = 1; apart < count; apart++) {
    const phase = 2 * Math.PI * spacing * apart;
    mean += 2 * (count - apart) * (Math.sin(phase) / phase);
  }
  return count ** 2 / mean;
}

/**
 * Phase from element to element that turns the beam.
 * Source: C. A. Balanis, Antenna Theory, 6.3. Example: 10 degrees at 0.7 wavelengths: -43.759 degrees.
 */
export function computeSteeringPhaseDeg(spacing: number, steerDeg: number): number {
  return -360 * spacing * Math.sin(steerDeg * RAD_PER_DEG);
}

/**
 * The null next to a steered beam, on the side away from broadside of a beam that is tilted down (below it).
 * Source: the first zero of the array factor, count x phase / 2 = pi. NaN where it lies beyond 90 degrees.
 * Example: 8 elements 0.8 wavelengths apart, beam at -4 degrees: -13.062 degrees.
 */
export function findLowerNullDeg({ count, spacing }: UniformArray, beamDeg: number): number {
  return Math.asin(Math.sin(beamDeg * RAD_PER_DEG) - 1 / (count * spacing)) * DEG_PER_RAD;
}

/** Weights of the row without side lobes at half a wavelength: the binomial coefficients. */
export function computeBinomialWeights(count: number): number[] {
  const weights = [1];
  for (let i = 1; i < count; i++) weights.push((weights[i - 1] * (count - i)) / i);
  return weights;
}
