/** Links that a class needs before its spread is taken from them. */
const LEAST_LINKS = 20;

/** Share of errors that the spread is read from, and the standard deviations within which a normal one lies so often. */
const SHARE_WITHIN = 0.8;
const SIGMAS_WITHIN = 1.2815515655;

/** How sure it is that the spread is not taken too small. */
const CONFIDENCE = 0.9;

/** Limits of a request, dB. */
const [LEAST_SIGMA_DB, GREATEST_SIGMA_DB] = [0.5, 30];

/**
 * Standard deviation of the errors of places that were not measured, dB, or null under 20 errors.
 *
 * A verdict of 90 % stands on one point of the distribution, 1.28 sigma below the middle; so sigma is read there: from
 * the size that 80 % of the errors stay under, which a few outliers do not move. And from above: the order statistic
 * that is not below that size with 90 % confidence, whatever the distribution, so that few links never look better than
 * they are (with 20 errors it is the 19th).
 * Source: order statistics as bounds of a quantile: H. A. David and H. N. Nagaraja, Order Statistics (3rd ed.), 7.1.
 */
export function upperSigmaDb(errorsDb: readonly number[]): number | null {
  if (errorsDb.length < LEAST_LINKS) return null;
  const sizes = Float64Array.from(errorsDb, Math.abs).sort();
  const sigmaDb = sizes[boundingRank(sizes.length) - 1] / SIGMAS_WITHIN;
  return Math.min(Math.max(sigmaDb, LEAST_SIGMA_DB), GREATEST_SIGMA_DB);
}

/** Least rank k, from 1, with a chance of CONFIDENCE or more that under k of n draws lie within SHARE_WITHIN. */
function boundingRank(n: number): number {
  let logChance = n * Math.log(1 - SHARE_WITHIN);
  let chanceOfFewer = Math.exp(logChance);
  let rank = 1;
  while (chanceOfFewer < CONFIDENCE) {
    logChance += Math.log(((n - rank + 1) / rank) * (SHARE_WITHIN / (1 - SHARE_WITHIN)));
    chanceOfFewer += Math.exp(logChance);
    rank++;
  }
  return rank;
}
