import type { Taper } from "../description.ts";
import { cosineOnPedestal } from "./apertures.ts";

/** Amplitudes of `count` elements along a row, symmetric, the greatest 1. */
export function taperWeights(taper: Taper, count: number): number[] {
  switch (taper.kind) {
    case "uniform":
      return new Array<number>(count).fill(1);
    case "cosine":
      return cosineWeights(taper.pedestalDb, count);
    case "chebyshev": {
      const weights = chebyshevWeights(count, taper.sideLobeDb);
      const greatest = Math.max(...weights);
      return weights.map((weight) => weight / greatest);
    }
  }
}

/** The outermost elements stand on the pedestal. */
function cosineWeights(pedestalDb: number, count: number): number[] {
  const light = cosineOnPedestal(pedestalDb);
  const middle = (count - 1) / 2;
  return Array.from({ length: count }, (_, i) => (middle === 0 ? 1 : light(Math.abs(i - middle) / middle)));
}

/**
 * Dolph-Chebyshev weights: the narrowest beam for side lobes of one level. The outermost weight is 1.
 * Computed as the inverse Fourier sum of the Chebyshev polynomial T_(n-1)(z0 cos(psi / 2)).
 * Source: C. L. Dolph, Proc. IRE 34 (1946); C. A. Balanis, Antenna Theory, 6.8.3.
 * @param sideLobeDb Below the peak, positive.
 * Example: 10 elements, 26.0206 dB: 1, 1.357, 1.971, 2.483, 2.775 from the edge to the middle.
 */
export function chebyshevWeights(count: number, sideLobeDb: number): number[] {
  if (count < 3) return new Array<number>(count).fill(1);
  const order = count - 1;
  const z0 = Math.cosh(Math.acosh(10 ** (sideLobeDb / 20)) / order);
  const samples = Array.from({ length: count }, (_, k) => chebyshev(order, z0 * Math.cos((Math.PI * k) / count)));
  const weights = samples.map((_, i) => {
    const place = i - order / 2;
    return samples.reduce((sum, sample, k) => sum + sample * Math.cos((2 * Math.PI * k * place) / count), 0);
  });
  return weights.map((weight) => weight / weights[0]);
}

/** Chebyshev polynomial of the first kind. */
function chebyshev(order: number, x: number): number {
  if (Math.abs(x) <= 1) return Math.cos(order * Math.acos(x));
  const sign = x < 0 && order % 2 === 1 ? -1 : 1;
  return sign * Math.cosh(order * Math.acosh(Math.abs(x)));
}
