/** Interferers whose being on or off is followed one by one; the rest count with their mean power. */
const FOLLOWED_INTERFERERS = 4;

/** The strongest interferers that come and go, the strongest first; room for FOLLOWED_INTERFERERS. */
export interface FollowedInterferers {
  /** Level while on, mW. */
  onMw: Float64Array;
  /** Share of the time that each is on. */
  onShare: Float64Array;
  count: number;
}

export function createFollowed(): FollowedInterferers {
  return {
    onMw: new Float64Array(FOLLOWED_INTERFERERS),
    onShare: new Float64Array(FOLLOWED_INTERFERERS),
    count: 0,
  };
}

/** Takes an interferer among the followed where it is one of the strongest; of equal levels the first stays first. */
export function followInterferer(followed: FollowedInterferers, levelMw: number, share: number): void {
  const { onMw, onShare } = followed;
  let place = followed.count < FOLLOWED_INTERFERERS ? followed.count++ : FOLLOWED_INTERFERERS;
  while (place > 0 && levelMw > onMw[place - 1]) {
    if (place < FOLLOWED_INTERFERERS) {
      onMw[place] = onMw[place - 1];
      onShare[place] = onShare[place - 1];
    }
    place--;
  }
  if (place === FOLLOWED_INTERFERERS) return;
  onMw[place] = levelMw;
  onShare[place] = share;
}

/**
 * Mean rate over the states of the followed interferers, which come and go independently: a mean of rates, never of
 * levels.
 * @param signalMw wanted level.
 * @param meanNoiseMw noise and the mean of all interference, the followed ones included.
 * @param rateSinr least SINR of each rate, linear, rising; `netMbps` begins with the rate of none.
 */
export function meanRateOverStates(
  signalMw: number,
  meanNoiseMw: number,
  { onMw, onShare, count }: FollowedInterferers,
  rateSinr: Float64Array,
  netMbps: Float64Array,
): number {
  let steadyMw = meanNoiseMw;
  for (let index = 0; index < count; index++) steadyMw -= onMw[index] * onShare[index];
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
