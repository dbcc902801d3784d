/**
 * Returns gradient noise of a seed, smooth, about -1..1, one hill or hollow per unit of x and y (K. Perlin, "Improving
 * noise", 2002, section 2: the quintic blend). Only + - * / and integer hashes, so it is the same on every machine.
 */
function computeGradientNoise(x: number, y: number, seed: number): number {
  const column = Math.floor(x);
  const row = Math.floor(y);
  const dx = x - column;
  const dy = y - row;
  const u = computeBlend(dx);
  const v = computeBlend(dy);
  const south = interpolate(
    computeSlopeHeight(column, row, seed, dx, dy),
    computeSlopeHeight(column + 1, row, seed, dx - 1, dy),
    u,
  );
  const north = interpolate(
    computeSlopeHeight(column, row + 1, seed, dx, dy - 1),
    computeSlopeHeight(column + 1, row + 1, seed, dx - 1, dy - 1),
    u,
  );
  return 1.6 * interpolate(south, north, v);
}

/** Returns the sum of `octaves` noises, each half as wide and high as the one before and turned against it. */
export function computeFractalNoise(x: number, y: number, seed: number, octaves: number): number {
  let sum = 0;
  let amplitude = 1;
  for (let octave = 0; octave < octaves; octave++) {
    sum += amplitude * computeGradientNoise(x, y, seed + octave);
    amplitude *= 0.5;
    const turned = 2 * (0.8 * x - 0.6 * y);
    y = 2 * (0.6 * x + 0.8 * y);
    x = turned;
  }
  return sum;
}

/** Returns 0 below `from`, 1 above `to`, smooth between. */
export function computeSmoothStep(from: number, to: number, value: number): number {
  const t = Math.min(1, Math.max(0, (value - from) / (to - from)));
  return t * t * (3 - 2 * t);
}

function computeBlend(t: number): number {
  return t * t * t * (t * (t * 6 - 15) + 10);
}

function interpolate(a: number, b: number, share: number): number {
  return a + (b - a) * share;
}

/** Returns the height at (dx, dy) from a lattice point of the plane through it; the point's hash gives its slope. */
function computeSlopeHeight(column: number, row: number, seed: number, dx: number, dy: number): number {
  let bits = Math.imul(column, 0x27d4eb2d) ^ Math.imul(row, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1);
  bits = Math.imul(bits ^ (bits >>> 15), 0x85ebca6b);
  bits = Math.imul(bits ^ (bits >>> 13), 0xc2b2ae35);
  bits ^= bits >>> 16;
  return ((bits & 0xffff) / 0x8000 - 1) * dx + ((bits >>> 16) / 0x8000 - 1) * dy;
}
