import { expect, it } from "vitest";
import { computeP1812MedianLossDb } from "./median-loss.ts";

it("is free space over level ground that stands clear: 92.4 + 20 lg 10 = 112.40 dB at 1 GHz and 10 km, and more behind a hill", () => {
  const distanceM = Float64Array.from({ length: 101 }, (_, i) => i * 100);
  const lossOver = (hillM: number) => {
    const heights = distanceM.map((m) => (m === 5000 ? hillM : 0));
    const profile = { distanceM, bareAmslM: heights, surfaceAmslM: heights };
    const ends = { txHeightAglM: 30, rxHeightAglM: 10, frequencyGhz: 1 };
    return computeP1812MedianLossDb({ profile, ...ends, effectiveEarthRadiusM: (4 / 3) * 6_371_000 });
  };
  expect(lossOver(0)).toBeCloseTo(112.4, 2);
  expect(lossOver(60)).toBeGreaterThan(lossOver(0) + 10);
});
