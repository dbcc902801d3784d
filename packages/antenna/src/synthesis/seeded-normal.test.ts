import { expect, it } from "vitest";
import { seededNormal } from "./seeded-normal.ts";

it("gives numbers of mean 0 and deviation 1 that depend on the seed alone", () => {
  for (const seed of [0, 1, 2, 3, 17]) {
    const [next, again] = [seededNormal(seed), seededNormal(seed)];
    const values = Array.from({ length: 4000 }, () => next());
    expect(Array.from({ length: 4000 }, () => again())).toEqual(values);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
    expect(Math.abs(mean)).toBeLessThan(0.06);
    expect(Math.abs(variance - 1)).toBeLessThan(0.08);
  }
  expect(seededNormal(1)()).not.toBe(seededNormal(2)());
});
