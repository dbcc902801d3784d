/**
 * Share of a standard normal distribution above x: Q(x). Accuracy: 1e-13 relative.
 * Source: NIST DLMF, series 7.6.2 below 3, continued fraction 7.9.2 above; Q(-x) = 1 - Q(x).
 * Example: Q(1.2816) = 0.1.
 */
export function computeComplementaryNormal(x: number): number {
  if (x < 0) return 1 - computeComplementaryNormal(-x);
  return x < 3 ? 0.5 - computeNormalDensity(x) * sumSeriesBelow(x) : computeNormalDensity(x) / computeFractionAbove(x);
}

/**
 * The x that a share p of a standard normal distribution exceeds, 0 < p < 1. Accuracy: 1e-9.
 * Source: definition (ITU-R P.1057-7, section 2); started at the approximation of P.1812-6, Attachment 2, which alone
 * is good to 4.5e-4. Throws RangeError outside 0 < p < 1. Example: 0.01 gives 2.32634787.
 */
export function computeInverseComplementaryNormal(p: number): number {
  if (!(p > 0 && p < 1)) throw new RangeError(`a share lies between 0 and 1, got ${p}`);
  if (p > 0.5) return -computeInverseComplementaryNormal(1 - p);
  const t = Math.sqrt(-2 * Math.log(p));
  const above = (0.010328 * t + 0.802853) * t + 2.515516698;
  const below = ((0.001308 * t + 0.189269) * t + 1.432788) * t + 1;
  let x = t - above / below;
  for (let step = 0; step < 3; step++) x += (computeComplementaryNormal(x) - p) / computeNormalDensity(x);
  return x;
}

function computeNormalDensity(x: number): number {
  return Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI);
}

function sumSeriesBelow(x: number): number {
  let term = x;
  let sum = x;
  for (let k = 1; k < 60; k++) {
    term *= (x * x) / (2 * k + 1);
    sum += term;
  }
  return sum;
}

function computeFractionAbove(x: number): number {
  let tail = x;
  for (let k = 60; k >= 1; k--) tail = x + k / tail;
  return tail;
}
