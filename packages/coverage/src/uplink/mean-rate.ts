/** Inputs of the mean rate of a link apart from its signal. */
export interface RateUnderLevels {
  /** Steady noise, mW. */
  noiseMw: number;
  /** Equally likely levels of interference, mW. */
  levelsMw: Float64Array;
  /** Least SINR of each rate, linear, rising, and its net rate, Mbit/s, rising. */
  rateSinr: Float64Array;
  netMbps: Float64Array;
}

export interface RateSteps {
  /** Signal from which a step holds, mW, rising. Below the first nothing gets through. */
  signalMw: Float64Array;
  netMbps: Float64Array;
}

/** Most steps that a table of mean rates has. */
const MAX_STEPS = 64;

/** Mean over the levels of the rate that each allows, Mbit/s: a mean of rates, never of levels. */
export function meanRateOverLevels(
  signalMw: number,
  { noiseMw, levelsMw, rateSinr, netMbps }: RateUnderLevels,
): number {
  let sum = 0;
  for (const levelMw of levelsMw) {
    let rate = -1;
    while (rate + 1 < rateSinr.length && signalMw >= rateSinr[rate + 1] * (noiseMw + levelMw)) rate++;
    if (rate >= 0) sum += netMbps[rate];
  }
  return sum / levelsMw.length;
}

/**
 * The mean rate as steps of the signal, folded so that a cell costs one search. Where levels and rates make more than
 * 64 steps, neighbours are joined at the greater signal: the table never says more than `meanRateOverLevels`. With one
 * level it is the plain table of thresholds.
 */
export function meanRateSteps(rates: RateUnderLevels): RateSteps {
  const { noiseMw, levelsMw, rateSinr } = rates;
  const all = Array.from(levelsMw, (levelMw) => Array.from(rateSinr, (sinr) => sinr * (noiseMw + levelMw)));
  const rising = Float64Array.from(new Set(all.flat())).sort();
  const count = Math.min(rising.length, MAX_STEPS);
  const signalMw = Float64Array.from({ length: count }, (_, step) => {
    return rising[Math.floor(((step + 1) * rising.length) / count) - 1];
  });
  return { signalMw, netMbps: signalMw.map((signal) => meanRateOverLevels(signal, rates)) };
}
