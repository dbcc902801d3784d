/** Rounds of descent and conjugate gradients after which the answer is taken as it is. */
const MAX_ROUNDS = 1000;

/** Slope along each unknown, over the slope at q = 0, below which it has settled. */
const SETTLED = 1e-8;

/**
 * Returns the q >= 0 for which A q is nearest to b in the sense of least squares. Rounds of exact minimisation along one
 * unknown after the other, which find the unknowns at 0, and of conjugate gradients over the others, until the
 * conditions of Kuhn and Tucker hold. The same input gives the same bits.
 * Source: C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974), chapter 23, for the problem and its
 * conditions; gradients over a face with steps cut at its border: Z. Dostal, SIAM J. Optim. 7 (1997).
 * Accuracy: the misfit within 0.01 % of the least in steps of 5 degrees and more, 0.3 % in steps of 1. Where A can hardly
 * tell neighbours apart, their sum is right, and they stay near the first guess in what A does not see.
 * @param matrix A, rows after each other, `target.length` rows of `start.length`.
 * @param start first guess, not negative; a guess that fits stays.
 */
export function solveNonNegative(matrix: Float64Array, target: Float64Array, start: Float64Array): Float64Array {
  const normal = computeNormalMatrix(matrix, start.length);
  const q = start.slice();
  const slope = computeSlope(matrix, target, q);
  const scale = computeSlope(matrix, target, new Float64Array(start.length)).reduce(
    (a, b) => Math.max(a, Math.abs(b)),
    0,
  );
  for (let round = 0; round < MAX_ROUNDS && findViolation(q, slope) > SETTLED * scale; round++) {
    descendAlongUnknowns(normal, q, slope);
    descendOnFace(normal, q, slope);
  }
  return q;
}

/** Returns the greatest violation of the conditions: a slope where q > 0, a negative one where q = 0. */
function findViolation(q: Float64Array, slope: Float64Array): number {
  return q.reduce((most, value, j) => Math.max(most, value > 0 ? Math.abs(slope[j]) : -slope[j]), 0);
}

/** Minimises along one unknown after the other, each held at 0 or above; updates q and the slope. */
function descendAlongUnknowns(normal: Float64Array, q: Float64Array, slope: Float64Array): void {
  const count = q.length;
  for (let j = 0; j < count; j++) {
    const moved = Math.max(0, q[j] - slope[j] / normal[j * count + j]);
    const change = moved - q[j];
    if (change === 0) continue;
    q[j] = moved;
    for (let k = 0; k < count; k++) slope[k] += normal[j * count + k] * change;
  }
}

/** Minimises over the unknowns above 0 by conjugate gradients, until one of them meets 0; updates q and the slope. */
function descendOnFace(normal: Float64Array, q: Float64Array, slope: Float64Array): void {
  const count = q.length;
  const face = [...q.keys()].filter((j) => q[j] > 0);
  const way = new Float64Array(count);
  for (const j of face) way[j] = -slope[j];
  let square = face.reduce((sum, j) => sum + slope[j] ** 2, 0);
  for (let step = 0; step < face.length && square > 0; step++) {
    const turned = multiply(normal, way, face);
    const curvature = face.reduce((sum, j) => sum + way[j] * turned[j], 0);
    if (!(curvature > 0)) return;
    const wanted = square / curvature;
    const taken = face.reduce((least, j) => (way[j] < 0 ? Math.min(least, -q[j] / way[j]) : least), wanted);
    for (const j of face) q[j] = Math.max(0, q[j] + taken * way[j]);
    for (let k = 0; k < count; k++) slope[k] += taken * turned[k];
    if (taken < wanted) return;
    const next = face.reduce((sum, j) => sum + slope[j] ** 2, 0);
    for (const j of face) way[j] = -slope[j] + (next / square) * way[j];
    square = next;
  }
}

/** Returns the product of the symmetric matrix and a vector that is 0 outside the face. */
function multiply(normal: Float64Array, vector: Float64Array, face: readonly number[]): Float64Array {
  const count = vector.length;
  const product = new Float64Array(count);
  for (const j of face) for (let k = 0; k < count; k++) product[k] += normal[j * count + k] * vector[j];
  return product;
}

/** Returns A' A, which is symmetric. */
function computeNormalMatrix(matrix: Float64Array, count: number): Float64Array {
  const normal = new Float64Array(count * count);
  for (let row = 0; row < matrix.length; row += count) {
    for (let j = 0; j < count; j++) {
      for (let k = 0; k < count; k++) normal[j * count + k] += matrix[row + j] * matrix[row + k];
    }
  }
  return normal;
}

/** Returns A' (A q - b): half the slope of the sum of squares along each unknown. */
function computeSlope(matrix: Float64Array, target: Float64Array, q: Float64Array): Float64Array {
  const count = q.length;
  const slope = new Float64Array(count);
  for (let row = 0; row < target.length; row++) {
    let misfit = -target[row];
    for (let j = 0; j < count; j++) misfit += matrix[row * count + j] * q[j];
    for (let j = 0; j < count; j++) slope[j] += matrix[row * count + j] * misfit;
  }
  return slope;
}
