import { createSeededRandom } from "@fellmark/units";

/** Transmitters of which one at a time sends: the subscribers of a sector, or a single emitter or base. */
export interface UplinkSender {
  /** Level that each place brings to the victim while it sends, mW per chain. */
  levelsMw: Float64Array;
  /** Share of time in which each place sends, any unit: the demand of its busy hour. Their sum is over 0. */
  weights: Float64Array;
  /** Share of the time that anyone of them sends, 0 to 1. */
  activity: number;
}

/** Levels of all senders together at a victim, mW per chain. */
export interface UplinkDistribution {
  meanMw: number;
  medianMw: number;
  p90Mw: number;
  /** Equally likely levels, rising: each the mean of its share of the time. One alone where nothing changes. */
  levelsMw: Float64Array;
}

export interface UplinkDrawOptions {
  /** Most combinations of senders that are followed one by one. */
  exactCombinations?: number;
  /** Combinations that are drawn where there are more. */
  draws?: number;
  seed?: number;
  /** Number of equally likely levels. */
  levels?: number;
}

/**
 * Every level that a sender brings, silence among them, and the share of the time that it does; the shares sum to 1.
 */
interface States {
  levelsMw: Float64Array;
  shares: Float64Array;
}

/**
 * Distribution of what independent senders bring together: over all combinations of their places where these are few,
 * else over combinations drawn from a seed. The mean is exact in both.
 * Accuracy: 10,000 drawn combinations against all of them: mean and 90th percentile within 0.3 dB (a test).
 * Example: two senders, each 1 mW for half of the time: mean 1, median 1, 90th percentile 2 mW.
 */
export function computeUplinkDistribution(
  senders: readonly UplinkSender[],
  { exactCombinations = 10_000, draws = 10_000, seed = 1, levels = 32 }: UplinkDrawOptions = {},
): UplinkDistribution {
  const states = senders.map(listStates);
  const combinations = states.reduce((product, { shares }) => product * shares.length, 1);
  const sums = combinations <= exactCombinations ? listAllSums(states) : drawSums(states, draws, seed);
  return {
    meanMw: meanLevelMw(senders),
    medianMw: findQuantile(sums, 0.5),
    p90Mw: findQuantile(sums, 0.9),
    levelsMw: combinations === 1 ? sums.levelsMw : listEquallyLikelyLevels(sums, levels),
  };
}

/** Mean of what senders bring together, mW: the sum of their means. */
export function meanLevelMw(senders: readonly UplinkSender[]): number {
  let sum = 0;
  for (const { levelsMw, shares } of senders.map(listStates)) {
    for (let state = 0; state < shares.length; state++) sum += levelsMw[state] * shares[state];
  }
  return sum;
}

function listStates({ levelsMw, weights, activity }: UplinkSender): States {
  const isSilent = activity === 0 || weights.length === 0;
  if (isSilent) return { levelsMw: Float64Array.of(0), shares: Float64Array.of(1) };
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const shares = weights.map((weight) => (activity * weight) / total);
  if (activity === 1) return { levelsMw, shares };
  return { levelsMw: Float64Array.of(0, ...levelsMw), shares: Float64Array.of(1 - activity, ...shares) };
}

/** All combinations, rising: each sender multiplies those before it by its states. */
function listAllSums(senders: readonly States[]): States {
  let sums: States = { levelsMw: Float64Array.of(0), shares: Float64Array.of(1) };
  for (const sender of senders) {
    const count = sender.shares.length;
    const length = sums.shares.length * count;
    sums = {
      levelsMw: Float64Array.from(
        { length },
        (_, i) => sums.levelsMw[Math.floor(i / count)] + sender.levelsMw[i % count],
      ),
      shares: Float64Array.from({ length }, (_, i) => sums.shares[Math.floor(i / count)] * sender.shares[i % count]),
    };
  }
  return sortByLevel(sums);
}

/**
 * Drawn combinations, rising. Of each sender every state comes as often as its share says, which keeps the means; the
 * seed decides only which states meet.
 */
function drawSums(senders: readonly States[], draws: number, seed: number): States {
  const random = createSeededRandom(seed);
  const levelsMw = new Float64Array(draws);
  const levelOfDraw = new Float64Array(draws);
  for (const sender of senders) {
    fillByShare(levelOfDraw, sender, random());
    shuffleInPlace(levelOfDraw, random);
    for (let draw = 0; draw < draws; draw++) levelsMw[draw] += levelOfDraw[draw];
  }
  return { levelsMw: levelsMw.sort(), shares: new Float64Array(draws).fill(1 / draws) };
}

/** Walks the states in their order, each as long as its share lasts. */
function fillByShare(levelOfDraw: Float64Array, { levelsMw, shares }: States, offset: number): void {
  let state = 0;
  let passed = shares[0];
  for (let draw = 0; draw < levelOfDraw.length; draw++) {
    while (passed < (draw + offset) / levelOfDraw.length && state + 1 < shares.length) passed += shares[++state];
    levelOfDraw[draw] = levelsMw[state];
  }
}

/** Source: R. Durstenfeld, Algorithm 235: Random permutation, CACM 7 (1964). */
function shuffleInPlace(values: Float64Array, random: () => number): void {
  for (let last = values.length - 1; last > 0; last--) {
    const other = Math.floor(random() * (last + 1));
    const kept = values[last];
    values[last] = values[other];
    values[other] = kept;
  }
}

function sortByLevel({ levelsMw, shares }: States): States {
  const order = Uint32Array.from(levelsMw, (_, index) => index).sort((a, b) => levelsMw[a] - levelsMw[b]);
  return {
    levelsMw: Float64Array.from(order, (index) => levelsMw[index]),
    shares: Float64Array.from(order, (index) => shares[index]),
  };
}

/** Rounding that a sum of 10,000 shares may gather. */
const SHARE_ROUNDING = 1e-9;

/** Least level that is not exceeded for `share` of the time. */
function findQuantile({ levelsMw, shares }: States, share: number): number {
  let passed = 0;
  for (let index = 0; index < shares.length; index++) {
    passed += shares[index];
    if (passed >= share - SHARE_ROUNDING) return levelsMw[index];
  }
  return levelsMw[levelsMw.length - 1];
}

/** Cuts sorted levels into `count` parts of equal share; a state that lies over a cut counts on both sides in part. */
function listEquallyLikelyLevels({ levelsMw, shares }: States, count: number): Float64Array {
  const means = new Float64Array(count);
  let from = 0;
  for (let index = 0; index < shares.length; index++) {
    const to = Math.min(from + shares[index] * count, count);
    for (let part = Math.floor(from); part < to; part++) {
      means[part] += levelsMw[index] * (Math.min(to, part + 1) - Math.max(from, part));
    }
    from = to;
  }
  return means;
}
