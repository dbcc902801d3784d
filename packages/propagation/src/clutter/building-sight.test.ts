import { expect, it } from "vitest";
import { BUILDING_AREAS, type BuildingSightInput, computeSightProbability } from "./building-sight.ts";

const DENSE: BuildingSightInput = {
  distanceM: 150,
  txHeightAglM: 50,
  rxHeightAglM: 1.5,
  buildings: { coveredShare: 0.5, perKm2: 400, modeHeightM: 20 },
};

const probability = (change: Partial<BuildingSightInput> = {}) => computeSightProbability({ ...DENSE, ...change });

it("has the value of another implementation of P.1410-5, section 2.1.5: 0.172626 over two buildings", () => {
  // By hand: floor(0.15 sqrt(200)) = 2 buildings under 37.875 and 13.625 m: (1 - 0.16640) (1 - 0.79290).
  expect(probability()).toBeCloseTo(0.172626225, 9);
});

it("is 1 where the line meets no building, and 1 high over the roofs", () => {
  expect(probability({ distanceM: 70 })).toBe(1);
  expect(probability({ distanceM: 0 })).toBe(1);
  expect(probability({ txHeightAglM: 300, rxHeightAglM: 300 })).toBeCloseTo(1, 12);
});

it("is the same from either end", () => {
  expect(probability({ txHeightAglM: 1.5, rxHeightAglM: 50 })).toBeCloseTo(probability(), 12);
});

it("falls with distance and with the roofs, and rises with either antenna", () => {
  const input = { txHeightAglM: 30, rxHeightAglM: 6 };
  const byDistance = [100, 300, 1000, 3000].map((distanceM) => probability({ ...input, distanceM }));
  expect(byDistance).toEqual(byDistance.toSorted((a, b) => b - a));
  const byHeight = [3, 6, 10, 20].map((rxHeightAglM) => probability({ ...input, distanceM: 500, rxHeightAglM }));
  expect(byHeight).toEqual(byHeight.toSorted((a, b) => a - b));
  const { suburban, urban } = BUILDING_AREAS;
  const over = (buildings: BuildingSightInput["buildings"]) => probability({ ...input, distanceM: 1000, buildings });
  expect(over(urban)).toBeLessThan(over(suburban));
});
