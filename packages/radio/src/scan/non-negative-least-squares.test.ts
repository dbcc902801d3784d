import { createSeededRandom } from "@fellmark/testkit";
import { fcnnlsVector } from "ml-fcnnls";
import { expect, it } from "vitest";
import { solveNonNegative } from "./non-negative-least-squares.ts";

/** Half the slope of the sum of squares along each unknown, A' (A q - b), from the definition. */
function slopes(matrix: Float64Array, target: Float64Array, q: Float64Array): number[] {
  const at = (row: number, column: number) => matrix[row * q.length + column];
  const misfit = Array.from(target, (b, row) => q.reduce((sum, value, j) => sum + at(row, j) * value, -b));
  return Array.from(q, (_, j) => misfit.reduce((sum, value, row) => sum + at(row, j) * value, 0));
}

it.each([1, 2, 3])(
  "fulfils the conditions of Kuhn and Tucker (Lawson and Hanson 1974, theorem 23.4), problem %i",
  (seed) => {
    const random = createSeededRandom(seed);
    const matrix = Float64Array.from({ length: 12 * 6 }, () => random());
    const target = Float64Array.from({ length: 12 }, () => 2 * random() - 0.7);
    const q = solveNonNegative(matrix, target, new Float64Array(6).fill(1));
    expect(q).toContain(0);
    for (const [j, slope] of slopes(matrix, target, q).entries()) {
      if (q[j] > 0) expect(Math.abs(slope)).toBeLessThan(1e-4);
      else expect(slope).toBeGreaterThanOrEqual(-1e-9);
    }
  },
);

it("keeps a guess that fits, and solves one unknown by hand", () => {
  const start = Float64Array.of(2, 3);
  expect(solveNonNegative(Float64Array.of(1, 0, 0, 1), Float64Array.of(2, 3), start)).toEqual(start);
  expect(solveNonNegative(Float64Array.of(1, 2), Float64Array.of(1, 7), Float64Array.of(0))).toEqual(
    Float64Array.of(3),
  );
  expect(solveNonNegative(Float64Array.of(1, 2), Float64Array.of(1, -7), Float64Array.of(1))).toEqual(
    Float64Array.of(0),
  );
});

/** Square root of the sum of squares of A q - b. */
function misfit(matrix: Float64Array, target: Float64Array, q: ArrayLike<number>): number {
  const rows = Array.from(target, (b, row) => {
    let sum = -b;
    for (let j = 0; j < q.length; j++) sum += matrix[row * q.length + j] * q[j];
    return sum;
  });
  return Math.hypot(...rows);
}

// A descent of 300 passes ended up to 1.1 % above the least misfit here; an independent library is the judge.
it.each([
  { stepDeg: 30, widthDeg: 60 },
  { stepDeg: 10, widthDeg: 30 },
  { stepDeg: 10, widthDeg: 60 },
  { stepDeg: 5, widthDeg: 30 },
  { stepDeg: 5, widthDeg: 60 },
])("has the misfit of ml-fcnnls: beams of $widthDeg degrees every $stepDeg", ({ stepDeg, widthDeg }) => {
  const count = 360 / stepDeg;
  const random = createSeededRandom(count + widthDeg);
  const gain = (offDeg: number) => 10 ** (1.5 - Math.min(1.2 * (offDeg / widthDeg) ** 2, 3));
  const matrix = Float64Array.from({ length: count * count }, (_, index) => {
    const apart = Math.abs((index % count) - Math.floor(index / count)) * stepDeg;
    return gain(Math.min(apart, 360 - apart));
  });
  const sources = Float64Array.from({ length: count }, () => (random() < 0.1 ? random() : 0.001));
  const target = Float64Array.from({ length: count }, (_, row) => {
    let level = 0;
    for (let j = 0; j < count; j++) level += matrix[row * count + j] * sources[j];
    return level * 10 ** (0.2 * random() - 0.1);
  });
  const rows = Array.from({ length: count }, (_, row) => Array.from(matrix.subarray(row * count, (row + 1) * count)));
  const leastMisfit = misfit(matrix, target, fcnnlsVector(rows, Array.from(target)).K.to1DArray());
  const own = solveNonNegative(matrix, target, new Float64Array(count).fill(0.01));
  expect(Math.min(...own)).toBeGreaterThanOrEqual(0);
  expect(Math.abs(misfit(matrix, target, own) / leastMisfit - 1)).toBeLessThan(1e-4);
});
