import { expect, it } from "vitest";
import { fillVoids } from "./fill-voids.ts";

const SIDE = 101;

/** A slope with a square void of `size` cells in its middle. */
function slopeWithVoid(size: number): Float32Array {
  const first = Math.floor((SIDE - size) / 2);
  const inVoid = (at: number) => at >= first && at < first + size;
  return Float32Array.from({ length: SIDE * SIDE }, (_, cell) => {
    const [column, row] = [cell % SIDE, Math.floor(cell / SIDE)];
    return inVoid(column) && inVoid(row) ? Number.NaN : 100 + 2 * column - row;
  });
}

it("gives a slope back across a small void", () => {
  const heights = slopeWithVoid(9);
  expect(fillVoids(heights, SIDE, SIDE)).toBe(81);
  heights.forEach((height, cell) => {
    expect(Math.abs(height - (100 + 2 * (cell % SIDE) - Math.floor(cell / SIDE)))).toBeLessThan(5);
  });
  // The middle sees the slope alike on all sides.
  expect(heights[50 * SIDE + 50]).toBeCloseTo(100 + 2 * 50 - 50, 4);
});

it("leaves the middle of a wide void as it is", () => {
  const heights = slopeWithVoid(71);
  expect(fillVoids(heights, SIDE, SIDE)).toBeLessThan(71 * 71);
  expect(heights[50 * SIDE + 50]).toBeNaN();
});

it("does not reach out past the edge of what is known", () => {
  const heights = Float32Array.from({ length: SIDE * SIDE }, (_, cell) => (cell % SIDE < 50 ? 7 : Number.NaN));
  expect(fillVoids(heights, SIDE, SIDE)).toBe(0);
});

it("fills nothing where nothing is known", () => {
  expect(fillVoids(new Float32Array(9).fill(Number.NaN), 3, 3)).toBe(0);
});
