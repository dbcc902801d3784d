import type { Taper } from "../description.ts";

/** Returns the amplitudes of `count` elements along a row, symmetric, the greatest 1. */
export function computeTaperWeights(taper: Taper, count: number): number[] {
  switch (taper.kind) {
    case "uniform":
      return new Array<number>(count).fill(1);
    case "cosine":
      return computeCosineWeights(taper.pedestalDb, count);
    case "chebyshev": {
      const weights = computeChebyshevWeights(count, taper.sideLobeDb);
      const greatest = Math.max(...weights);
      return weights.map((weight) => weight / greatest);
    }
  }
}

/** Returns a cosine, by place from 0 at the centre to 1 at the edge, that ends on a pedestal; `pedestalDb` is the level at the edge below the centre, positive. */
export function createCosineOnPedestal(pedestalDb: number): (place: number) => number {
  const pedestal = 10 ** (-Math.abs(pedestalDb) / 20);
  return (place) => pedestal + (1 - pedestal) * Math.cos((Math.PI / 2) * place);
}

/** Returns cosine weights whose outermost elements lie on the pedestal. */
function computeCosineWeights(pedestalDb: number, count: number): number[] {
  const light = createCosineOnPedestal(pedestalDb);
  const middle = (count - 1) / 2;
  return Array.from({ length: count }, (_, i) => (middle === 0 ? 1 : light(Math.abs(i - middle) / middle)));
}

/**
 * Returns Dolph-Chebyshev weights: the narrowest beam for side lobes of one level. The outermost weight is 1.
 * Computed as the inverse Fourier sum of the Chebyshev polynomial T_(n-1)(z0 cos(psi / 2)).
 * Source: C. L. Dolph, Proc. IRE 34 (1946); C. A. Balanis, Antenna Theory, 6.8.3.
 * @param sideLobeDb Below the peak, positive.
 * Example: 10 elements, 26.0206 dB: 1, 1.357, 1.971, 2.483, 2.775 from the edge to the middle.
 */
export function computeChebyshevWeights(count: number, sideLobeDb: number): number[] {
  if (count < 3) return new Array<number>(count).fill(1);
  const order = count - 1;
  const z0 = Math.cosh(Math.acosh(10 ** (sideLobeDb / 20)) / order);
  const samples = Array.from({ length: count }, (_, k) =>
    computeChebyshev(order, z0 * Math.cos((Math.PI * k) / count)),
  );
  const weights = samples.map((_, i) => {
    const place = i - order / 2;
    return samples.reduce((sum, sample, k) => sum + sample * Math.cos((2 * Math.PI * k * place) / count), 0);
  });
  return weights.map((weight) => weight / weights[0]);
}

/** Returns the Chebyshev polynomial of the first kind. */
function computeChebyshev(order: number, x: number): number {
  if (Math.abs(x) <= 1) return Math.cos(order * Math.acos(x));
  const sign = x < 0 && order % 2 === 1 ? -1 : 1;
  return sign * Math.cosh(order * Math.acosh(Math.abs(x)));
}
