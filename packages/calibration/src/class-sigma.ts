/** Least number of links for a class to have a spread of its own. */
const LEAST_LINKS = 20;

/** Share of errors that determines the spread, and the standard deviations that contain this share of a normal error. */
const SHARE_WITHIN = 0.8;
const SIGMAS_WITHIN = 1.2815515655;

/** Confidence that the spread is not too small. */
const CONFIDENCE = 0.9;

/** Limits of a request, dB. */
const [LEAST_SIGMA_DB, GREATEST_SIGMA_DB] = [0.5, 30];

/**
 * Returns the standard deviation of the errors of places that were not measured, dB, or null for fewer than 20 errors.
 *
 * A verdict of 90 % depends on one point of the distribution, 1.28 sigma below the middle. Sigma is therefore read at
 * that point: from the size below which 80 % of the errors lie, which a few outliers do not change. It is read from
 * above: the order statistic that is not below that size with 90 % confidence for any distribution, so that few links
 * never look better than they are (with 20 errors it is the 19th).
 * Source: order statistics as bounds of a quantile: H. A. David and H. N. Nagaraja, Order Statistics (3rd ed.), 7.1.
 */
export function boundSigmaDb(errorsDb: readonly number[]): number | null {
  if (errorsDb.length < LEAST_LINKS) return null;
  const sizes = Float64Array.from(errorsDb, Math.abs).sort();
  const sigmaDb = sizes[findBoundingRank(sizes.length) - 1] / SIGMAS_WITHIN;
  return Math.min(Math.max(sigmaDb, LEAST_SIGMA_DB), GREATEST_SIGMA_DB);
}

/** Returns the least rank k, from 1, with a chance of at least CONFIDENCE that fewer than k of n draws lie in SHARE_WITHIN. */
function findBoundingRank(n: number): number {
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
