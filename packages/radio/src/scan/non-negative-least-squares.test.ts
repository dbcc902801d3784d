import { seededRandom } from "@fellmark/testkit";
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
    const random = seededRandom(seed);
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
