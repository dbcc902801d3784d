import { createSeededRandom } from "@fellmark/testkit";
import { toDb, toMilliwatts } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeUplinkDistribution, meanLevelMw, type UplinkSender } from "./uplink-distribution.ts";

/** Subscribers at levels spread over 40 dB under -75 dBm, with demands from 1 to 10. */
function sectorOf(places: number, seed: number, activity = 1): UplinkSender {
  const random = createSeededRandom(seed);
  return {
    levelsMw: Float64Array.from({ length: places }, () => toMilliwatts(-75 - 40 * random())),
    weights: Float64Array.from({ length: places }, () => 1 + 9 * random()),
    activity,
  };
}

const mean = (values: Float64Array) => values.reduce((sum, value) => sum + value, 0) / values.length;

describe("seeded draw against all pairs", () => {
  it.each([1, 2, 3, 4, 5])("mean, median and 90th percentile within 0.3 dB, network %i", (seed) => {
    const senders = [sectorOf(100, seed), sectorOf(100, seed + 100)];
    const all = computeUplinkDistribution(senders);
    const drawn = computeUplinkDistribution(senders, { exactCombinations: 1, seed });
    expect(drawn.meanMw).toBe(all.meanMw);
    expect(Math.abs(toDb(mean(drawn.levelsMw) / all.meanMw))).toBeLessThan(0.3);
    expect(Math.abs(toDb(drawn.medianMw / all.medianMw))).toBeLessThan(0.3);
    expect(Math.abs(toDb(drawn.p90Mw / all.p90Mw))).toBeLessThan(0.3);
  });

  it("draws the same every time", () => {
    const senders = [1, 2, 3, 4].map((seed) => sectorOf(60, seed, 0.5));
    expect(computeUplinkDistribution(senders)).toEqual(computeUplinkDistribution(senders));
  });
});

describe("a distribution by hand", () => {
  const half = { levelsMw: Float64Array.of(1), weights: Float64Array.of(3), activity: 0.5 };

  it("of two senders that are on for half of the time", () => {
    const { levelsMw, ...figures } = computeUplinkDistribution([half, half], { levels: 4 });
    expect(figures).toEqual({ meanMw: 1, medianMw: 1, p90Mw: 2 });
    expect(levelsMw).toEqual(Float64Array.of(0, 1, 1, 2));
  });

  it("of ten levels that are equally likely: the fifth is not exceeded for half of the time, the ninth for nine tenths", () => {
    const ten = Float64Array.of(3, 1, 10, 7, 5, 2, 9, 4, 8, 6);
    const { medianMw, p90Mw } = computeUplinkDistribution([
      { levelsMw: ten, weights: new Float64Array(10).fill(2), activity: 1 },
    ]);
    expect([medianMw, p90Mw]).toEqual([5, 9]);
  });

  it("weighs places by their demand", () => {
    const sender = { levelsMw: Float64Array.of(4, 8), weights: Float64Array.of(3, 1), activity: 1 };
    expect(computeUplinkDistribution([sender]).meanMw).toBe(5);
    expect(meanLevelMw([sender, half])).toBe(5.5);
    expect(computeUplinkDistribution([sender], { levels: 2 }).levelsMw).toEqual(Float64Array.of(4, 6));
  });

  it("is one level where nothing changes", () => {
    const steady = { levelsMw: Float64Array.of(7), weights: Float64Array.of(1), activity: 1 };
    const never = { ...half, activity: 0 };
    const nobody = { levelsMw: new Float64Array(0), weights: new Float64Array(0), activity: 1 };
    expect(computeUplinkDistribution([]).levelsMw).toEqual(Float64Array.of(0));
    expect(computeUplinkDistribution([steady, never, nobody])).toEqual({
      meanMw: 7,
      medianMw: 7,
      p90Mw: 7,
      levelsMw: Float64Array.of(7),
    });
  });
});

it("keeps the mean in its equally likely levels", () => {
  const exact = computeUplinkDistribution([sectorOf(90, 7, 0.3), sectorOf(80, 8, 0.9)]);
  expect(mean(exact.levelsMw) / exact.meanMw).toBeCloseTo(1, 9);
  expect(exact.levelsMw).toEqual(exact.levelsMw.toSorted());
  const crowd = computeUplinkDistribution([1, 2, 3, 4, 5, 6].map((seed) => sectorOf(64, seed)));
  expect(Math.abs(toDb(mean(crowd.levelsMw) / crowd.meanMw))).toBeLessThan(0.05);
});
