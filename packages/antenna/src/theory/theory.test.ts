import { describe, expect, it } from "vitest";
import { computeChebyshevWeights, computeTaperWeights } from "./array-tapers.ts";
import { computeBesselJ, tabulateBesselJ } from "./bessel.ts";

/** Far field of a row half a wavelength apart, by the sine of the angle off broadside: the definition, written out. */
function sumField(weights: readonly number[], sine: number): number {
  const middle = (weights.length - 1) / 2;
  return weights.reduce((sum, weight, i) => sum + weight * Math.cos(Math.PI * (i - middle) * sine), 0);
}

describe("Bessel functions", () => {
  // M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, table 9.1.
  it.each([
    { order: 0, x: 1, value: 0.7651976866 },
    { order: 1, x: 1, value: 0.4400505857 },
    { order: 2, x: 1, value: 0.1149034849 },
    { order: 0, x: 10, value: -0.2459357645 },
    { order: 1, x: 10, value: 0.0434727462 },
  ])("J$order($x) is $value", ({ order, x, value }) => expect(computeBesselJ(order, x)).toBeCloseTo(value, 9));

  it("are read from their table within 1e-6, up to large arguments", () => {
    for (const order of [0, 2]) {
      const table = tabulateBesselJ(order, 200);
      for (let x = 0; x <= 200; x += 0.37) expect(Math.abs(table(x) - computeBesselJ(order, x))).toBeLessThan(1e-6);
    }
  });
});

describe("arrays", () => {
  // C. A. Balanis, Antenna Theory, chapter 6.
  it("with Dolph-Chebyshev weights have side lobes of one level", () => {
    for (const count of [9, 10, 16]) {
      const weights = computeChebyshevWeights(count, 30);
      const levels = Array.from({ length: 2001 }, (_, i) => Math.abs(sumField(weights, i / 2000)));
      const peaks = levels.filter((level, i) => i > 0 && level > levels[i - 1] && level >= (levels[i + 1] ?? 0));
      expect(peaks.length).toBeGreaterThan(2);
      for (const peak of peaks) expect(20 * Math.log10(peak / levels[0])).toBeCloseTo(-30, 2);
    }
  });

  it("taper to the pedestal at the ends and 1 in the middle", () => {
    const weights = computeTaperWeights({ kind: "cosine", pedestalDb: 10 }, 5);
    expect(weights[2]).toBe(1);
    expect(20 * Math.log10(weights[0])).toBeCloseTo(-10, 9);
    expect(computeTaperWeights({ kind: "chebyshev", sideLobeDb: 20 }, 1)).toEqual([1]);
    expect(computeTaperWeights({ kind: "cosine", pedestalDb: 10 }, 1)).toEqual([1]);
  });
});
