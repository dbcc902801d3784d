/** Passes over all unknowns after which the answer is taken as it is. */
const MAX_PASSES = 1000;

/** Change of the largest unknown, over its value, below which it has settled. */
const SETTLED = 1e-9;

/**
 * The unknowns q >= 0 for which A q comes nearest to b in the sense of least squares, by exact minimisation along one
 * unknown after the other until none moves. The same input gives the same bits.
 * Source: C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), chapter 23, for the problem and its
 * conditions; the descent along coordinates is the projected Gauss-Seidel method.
 * Accuracy: where A can hardly tell neighbours apart, A q is near b long before every q has settled.
 * @param matrix A, rows after each other, `target.length` rows of `start.length`.
 * @param start first guess, not negative; a guess that fits stays.
 */
export function nonNegativeLeastSquares(matrix: Float64Array, target: Float64Array, start: Float64Array): Float64Array {
  const count = start.length;
  const { normal, right } = normalEquations(matrix, target, count);
  const q = start.slice();
  for (let pass = 0; pass < MAX_PASSES; pass++) {
    let greatest = 0;
    let change = 0;
    for (let j = 0; j < count; j++) {
      let slope = -right[j];
      for (let k = 0; k < count; k++) slope += normal[j * count + k] * q[k];
      const moved = Math.max(0, q[j] - slope / normal[j * count + j]);
      change = Math.max(change, Math.abs(moved - q[j]));
      greatest = Math.max(greatest, moved);
      q[j] = moved;
    }
    if (change <= SETTLED * greatest) break;
  }
  return q;
}

/** A' A and A' b. */
function normalEquations(matrix: Float64Array, target: Float64Array, count: number) {
  const normal = new Float64Array(count * count);
  const right = new Float64Array(count);
  for (let row = 0; row < target.length; row++) {
    for (let j = 0; j < count; j++) {
      const left = matrix[row * count + j];
      right[j] += left * target[row];
      for (let k = 0; k < count; k++) normal[j * count + k] += left * matrix[row * count + k];
    }
  }
  return { normal, right };
}
