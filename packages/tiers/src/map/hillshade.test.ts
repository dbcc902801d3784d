import { expect, it } from "vitest";
import { computeHillshade } from "./hillshade.ts";

const FLAT = Math.SQRT1_2;

/** Light in the middle of a 3 x 3 slope that rises by so much a cell toward east and south. */
function lightOnSlope(perCellEastM: number, perCellSouthM: number): number {
  const heightsM = Float32Array.from({ length: 9 }, (_, at) => {
    return 100 + perCellEastM * (at % 3) + perCellSouthM * Math.floor(at / 3);
  });
  return computeHillshade(heightsM, 3, () => 20)[4];
}

it("lights the north-west side, and leaves flat ground at sin 45", () => {
  expect(lightOnSlope(0, 0)).toBeCloseTo(FLAT, 6);
  expect(lightOnSlope(5, 5)).toBeGreaterThan(FLAT);
  expect(lightOnSlope(-5, -5)).toBeLessThan(FLAT);
});

it("follows Lambert's law on a plane", () => {
  // Twice as steep as it is: a rise of 0.5 toward the light from the north-west makes a slope of 45 degrees, lit
  // straight on. Per cell of 20 m: 0.5 * 20 / sqrt(2) downwards to the west and to the north.
  expect(lightOnSlope(10 / Math.SQRT2, 10 / Math.SQRT2)).toBeCloseTo(1, 6);
  expect(lightOnSlope(-10 / Math.SQRT2, -10 / Math.SQRT2)).toBeCloseTo(0, 6);
});

it("keeps a hole a hole, and its neighbours without a false slope", () => {
  const heightsM = new Float32Array(9).fill(100);
  heightsM[4] = Number.NaN;
  const shade = computeHillshade(heightsM, 3, () => 20);
  expect(shade[4]).toBeNaN();
  expect(shade[3]).toBeCloseTo(FLAT, 6);
});
