/** Whoever sends one at a time: a sector's subscribers, or a single transmitter. */
export interface UplinkSender {
  /** Level at the victim of each that may send, mW, and how often it is that one. */
  levelsMw: Float64Array;
  weights: Float64Array;
  /** Share of the time that anybody sends. */
  activity: number;
}

export interface UplinkDistribution {
  meanMw: number;
  medianMw: number;
  p90Mw: number;
  /** Equiprobable levels, rising. */
  levelsMw: Float64Array;
}

/** Combinations up to which all are counted; beyond, a seeded draw stands for them. */
const EXACT_COMBINATIONS = 10_000;
const DRAWS = 20_000;
const LEVELS = 32;

interface Outcome {
  levelMw: number;
  share: number;
}

/**
 * Distribution of the sum of all senders, who send independently: exact over all combinations where they are few, else
 * by a seeded draw. The mean is exact always.
 */
export function uplinkDistribution(senders: readonly UplinkSender[], exactLimit = EXACT_COMBINATIONS): UplinkDistribution {
  const each = senders.map(outcomesOf);
  const combinations = each.reduce((product, outcomes) => product * outcomes.length, 1);
  const sums = combinations <= exactLimit ? allSums(each) : drawnSums(each);
  const meanMw = each.reduce((sum, outcomes) => sum + outcomes.reduce((mean, { levelMw, share }) => mean + levelMw * share, 0), 0);
  const at = quantiles(sums);
  return {
    meanMw,
    medianMw: at(0.5),
    p90Mw: at(0.9),
    levelsMw: Float64Array.from({ length: sums.length === 1 ? 1 : LEVELS }, (_, index) => at((index + 0.5) / LEVELS)),
  };
}

function outcomesOf({ levelsMw, weights, activity }: UplinkSender): Outcome[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const outcomes = Array.from(levelsMw, (levelMw, index) => ({ levelMw, share: (activity * weights[index]) / total }));
  return activity < 1 ? [{ levelMw: 0, share: 1 - activity }, ...outcomes] : outcomes;
}

function allSums(each: Outcome[][]): Outcome[] {
  return each.reduce(
    (sums, outcomes) =>
      sums.flatMap((sum) =>
        outcomes.map(({ levelMw, share }) => ({ levelMw: sum.levelMw + levelMw, share: sum.share * share })),
      ),
    [{ levelMw: 0, share: 1 }],
  );
}

function drawnSums(each: Outcome[][]): Outcome[] {
  const random = seededUnit(1);
  const draw = (outcomes: Outcome[]) => {
    let rest = random();
    for (const { levelMw, share } of outcomes) {
      rest -= share;
      if (rest <= 0) return levelMw;
    }
    return outcomes[outcomes.length - 1].levelMw;
  };
  return Array.from({ length: DRAWS }, () => ({
    levelMw: each.reduce((sum, outcomes) => sum + draw(outcomes), 0),
    share: 1 / DRAWS,
  }));
}

function quantiles(sums: Outcome[]): (share: number) => number {
  const sorted = sums.toSorted((a, b) => a.levelMw - b.levelMw);
  const reached = new Float64Array(sorted.length);
  sorted.forEach(({ share }, index) => {
    reached[index] = (reached[index - 1] ?? 0) + share;
  });
  return (share) => {
    const index = reached.findIndex((sum) => sum >= share);
    return sorted[index < 0 ? sorted.length - 1 : index].levelMw;
  };
}

/** Numbers in [0, 1), the same at every run. Source: G. Marsaglia, Xorshift RNGs, J. Stat. Softw. 8 (2003). */
function seededUnit(seed: number): () => number {
  let state = seed;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}
