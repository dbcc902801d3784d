import { expect, test } from "vitest";
import { createSeededNormal, createSeededRandom } from "./seeded-random.ts";

function take(count: number, next: () => number): number[] {
  return Array.from({ length: count }, next);
}

test("one seed gives one sequence, another seed another", () => {
  expect(take(5, createSeededRandom(7))).toEqual(take(5, createSeededRandom(7)));
  expect(take(5, createSeededRandom(7))).not.toEqual(take(5, createSeededRandom(8)));
});

test("uniform numbers lie in [0, 1) and fill it evenly", () => {
  const values = take(100_000, createSeededRandom(1));
  expect(values.every((value) => value >= 0 && value < 1)).toBe(true);
  const perTenth = new Array<number>(10).fill(0);
  for (const value of values) perTenth[Math.floor(value * 10)] += 1;
  const chiSquare = perTenth.reduce((sum, count) => sum + (count - 10_000) ** 2 / 10_000, 0);
  // 27.9 is the 99.9 % point of chi-square with 9 degrees of freedom (NIST/SEMATECH e-Handbook, table 1.3.6.7.4).
  expect(chiSquare).toBeLessThan(27.9);
});

test("normal numbers have mean 0, deviation 1 and 68.27 % within one deviation", () => {
  const values = take(100_000, createSeededNormal(1));
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
  expect(mean).toBeCloseTo(0, 1);
  expect(variance).toBeCloseTo(1, 1);
  expect(values.filter((value) => Math.abs(value) < 1).length / values.length).toBeCloseTo(0.6827, 2);
});
