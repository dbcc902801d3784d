/** Interferers whose being on or off is followed one by one; the rest count with their mean power. */
export const FOLLOWED_INTERFERERS = 4;

/**
 * Mean rate over the states of interferers that come and go independently: a mean of rates, never of levels.
 * @param signalMw wanted level.
 * @param steadyMw noise and all other interference.
 * @param onMw,onShare level while on and share of the time, of the first `count` followed interferers.
 * @param rateSinr least SINR of each rate, linear, rising; `netMbps` begins with the rate of none.
 */
export function meanRateOverStates(
  signalMw: number,
  steadyMw: number,
  onMw: ArrayLike<number>,
  onShare: ArrayLike<number>,
  count: number,
  rateSinr: Float64Array,
  netMbps: Float64Array,
): number {
  let mean = 0;
  for (let state = 0; state < 1 << count; state++) {
    let share = 1;
    let noiseMw = steadyMw;
    for (let index = 0; index < count; index++) {
      const isOn = (state >> index) & 1;
      share *= isOn ? onShare[index] : 1 - onShare[index];
      if (isOn) noiseMw += onMw[index];
    }
    mean += share * netMbps[rateIndex(rateSinr, signalMw / noiseMw)];
  }
  return mean;
}

/** Number of rates whose threshold the ratio reaches: 0 is none. */
export function rateIndex(thresholds: Float64Array, sinr: number): number {
  let index = 0;
  while (index < thresholds.length && sinr >= thresholds[index]) index++;
  return index;
}
