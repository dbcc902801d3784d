import { createSeededNormal } from "@fellmark/testkit";
import { expect, it } from "vitest";
import { boundSigmaDb } from "./class-sigma.ts";

it("is not told from fewer than 20 errors", () => {
  expect(boundSigmaDb(new Array(19).fill(5))).toBeNull();
  expect(boundSigmaDb(new Array(20).fill(5))).toBeCloseTo(5 / 1.28155, 4);
});

// Chance of at most 17 and at most 18 of 20 within the 80 % quantile: 0.794 and 0.931 (binomial table), so the 19th;
// of at most 84 and 85 of 100: 0.872 and 0.920, so the 86th.
it.each([
  [20, 19],
  [100, 86],
])("of %i errors is read from number %i by size", (count, rank) => {
  const errorsDb = Array.from({ length: count }, (_, i) => (i % 2 === 0 ? 0.1 : -0.1) * (i + 1));
  expect(boundSigmaDb(errorsDb)).toBeCloseTo((0.1 * rank) / 1.28155, 4);
});

it.each([20, 60, 300])("is not below the truth nine times in ten, and near it with many: %i errors", (count) => {
  const normal = createSeededNormal(count);
  const found = Array.from({ length: 400 }, () => boundSigmaDb(Array.from({ length: count }, () => 6 * normal())) ?? 0);
  const tooSmall = found.filter((sigmaDb) => sigmaDb < 6).length / found.length;
  expect(tooSmall).toBeLessThan(0.13);
  const meanDb = found.reduce((sum, sigmaDb) => sum + sigmaDb, 0) / found.length;
  expect(meanDb).toBeLessThan(6 * (1 + 2.4 / Math.sqrt(count)));
});

it("is not moved far by an outlier, nor out of a request's limits", () => {
  const normal = createSeededNormal(2);
  const errorsDb = Array.from({ length: 50 }, () => 6 * normal());
  const sigmaDb = boundSigmaDb(errorsDb) ?? 0;
  expect(boundSigmaDb(errorsDb.with(0, 1000))).toBeLessThan(1.25 * sigmaDb);
  expect(boundSigmaDb(new Array(30).fill(500))).toBe(30);
  expect(boundSigmaDb(new Array(30).fill(0))).toBe(0.5);
});
