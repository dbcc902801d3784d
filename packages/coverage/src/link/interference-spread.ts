import { toDb } from "@fellmark/units";

/** A level that is predicted with an error: a normal distribution in dB. */
export interface UncertainLevel {
  meanDb: number;
  /** Square of the standard deviation, dB^2. */
  variance: number;
}

/** Share of the receiver's noise from which an interferer's error is followed. */
export const LEAST_FOLLOWED_SHARE = 0.003;

/**
 * Adds the power of an independent uncertain level to a sum, which stays a normal distribution in dB.
 * Source: S. C. Schwartz and Y. S. Yeh, Bell System Technical Journal 61 (1982): mean and variance of
 * A + g(B - A), g(D) = 10 lg(1 + 10^(D/10)), B - A normal; its covariance with A by Stein's lemma.
 * Accuracy: the level that 90 % of 20,000 drawn sums stay below holds for 88 to 91 % of them (a test).
 * Example: 0 dB without error and 0 dB with 9 dB: mean 4.7 dB, standard deviation 4.9 dB.
 */
export function addUncertainLevel(sum: UncertainLevel, levelDb: number, sigmaDb: number): void {
  const otherVariance = sigmaDb * sigmaDb;
  const moments = readMoments(levelDb - sum.meanDb, Math.sqrt(sum.variance + otherVariance));
  sum.meanDb += moments.meanDb;
  sum.variance = Math.max(0, sum.variance * (1 - 2 * moments.slope) + moments.variance);
}

/** Noise with the interference of every path, each with the error of its own. */
export function sumUncertainLevels(
  noiseMw: number,
  paths: readonly { levelMw: number; sigmaDb: number }[],
): UncertainLevel {
  const sum = { meanDb: toDb(noiseMw), variance: 0 };
  for (const { levelMw, sigmaDb } of paths) {
    if (levelMw > LEAST_FOLLOWED_SHARE * noiseMw) addUncertainLevel(sum, toDb(levelMw), sigmaDb);
  }
  return sum;
}

/** Moments of g(D) for a normal D: its mean and variance, and the mean of its slope. */
interface Moments {
  meanDb: number;
  variance: number;
  slope: number;
}

/** Steps of the table over mean and standard deviation of D, dB; beyond the means one of the levels is nothing. */
const MEAN_STEP_DB = 1;
const MOST_MEAN_DB = 60;
const SIGMA_STEP_DB = 1;
const SIGMAS = 46;
const MEANS = (2 * MOST_MEAN_DB) / MEAN_STEP_DB + 1;

let table: Float64Array | undefined;

/** Scratch of readMoments. */
const read: Moments = { meanDb: 0, variance: 0, slope: 0 };

/** From the table by straight lines; see computeMoments. */
function readMoments(meanDb: number, sigmaDb: number): Moments {
  table ??= tabulateMoments();
  const column = Math.min(Math.max((meanDb + MOST_MEAN_DB) / MEAN_STEP_DB, 0), MEANS - 1.001);
  const row = Math.min(sigmaDb / SIGMA_STEP_DB, SIGMAS - 1.001);
  const at = 3 * ((row | 0) * MEANS + (column | 0));
  const x = column - (column | 0);
  const y = row - (row | 0);
  read.meanDb = interpolate(table, at, x, y) + Math.max(0, meanDb - MOST_MEAN_DB);
  read.variance = interpolate(table, at + 1, x, y) ** 2;
  read.slope = interpolate(table, at + 2, x, y);
  return read;
}

function interpolate(values: Float64Array, at: number, x: number, y: number): number {
  const low = values[at] + (values[at + 3] - values[at]) * x;
  const next = at + 3 * MEANS;
  return low + (values[next] + (values[next + 3] - values[next]) * x - low) * y;
}

function tabulateMoments(): Float64Array {
  const values = new Float64Array(3 * SIGMAS * MEANS);
  for (let row = 0; row < SIGMAS; row++) {
    for (let column = 0; column < MEANS; column++) {
      const { meanDb, variance, slope } = computeMoments(column * MEAN_STEP_DB - MOST_MEAN_DB, row * SIGMA_STEP_DB);
      values.set([meanDb, Math.sqrt(variance), slope], 3 * (row * MEANS + column));
    }
  }
  return values;
}

/** Points of a sum over a normal distribution, standard deviations: from -5 to 5 in quarters. */
const POINTS = Array.from({ length: 41 }, (_, index) => (index - 20) / 4);

/** By a sum over a normal distribution. Accuracy: 1e-3 dB. */
export function computeMoments(meanDb: number, sigmaDb: number): Moments {
  let [weights, mean, square, slope] = [0, 0, 0, 0];
  for (const point of POINTS) {
    const weight = Math.exp((-point * point) / 2);
    const ratio = 10 ** ((meanDb + sigmaDb * point) / 10);
    const raisedDb = toDb(1 + ratio);
    weights += weight;
    mean += weight * raisedDb;
    square += weight * raisedDb * raisedDb;
    slope += (weight * ratio) / (1 + ratio);
  }
  mean /= weights;
  return { meanDb: mean, variance: Math.max(0, square / weights - mean * mean), slope: slope / weights };
}
