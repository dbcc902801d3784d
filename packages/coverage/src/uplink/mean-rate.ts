export interface MeanRateInput {
  /** What is always there. */
  noiseMw: number;
  /** Equiprobable levels of what comes and goes. */
  levelsMw: Float64Array;
  /** Least SINR of each rate, linear, rising, and the rates, Mbit/s. */
  rateSinr: Float64Array;
  netMbps: Float64Array;
}

/** Most steps of a mean rate; more are thinned out, never upwards. */
const MAX_STEPS = 64;

/** Sums of rates are rounded, so that a plan's own speed is reached. */
const ROUNDING = 1e6;

/**
 * The mean rate over interference that comes and goes, as a function of the signal: levels, mW, from which each step
 * holds, rising. With a single level these are the thresholds of the rates themselves.
 */
export function meanRateSteps({ noiseMw, levelsMw, rateSinr, netMbps }: MeanRateInput): {
  signalMw: Float64Array;
  netMbps: Float64Array;
} {
  const gains = Array.from(levelsMw).flatMap((levelMw) =>
    Array.from(rateSinr, (sinr, rate) => ({
      signalMw: sinr * (noiseMw + levelMw),
      gainMbps: (netMbps[rate] - (netMbps[rate - 1] ?? 0)) / levelsMw.length,
    })),
  );
  gains.sort((a, b) => a.signalMw - b.signalMw);
  let reachedMbps = 0;
  const steps = gains.map(({ signalMw, gainMbps }) => {
    reachedMbps += gainMbps;
    return { signalMw, mbps: Math.round(reachedMbps * ROUNDING) / ROUNDING };
  });
  const every = Math.ceil(steps.length / MAX_STEPS);
  const kept = steps.filter((_, index) => every === 1 || (steps.length - 1 - index) % every === 0);
  return {
    signalMw: Float64Array.from(kept, ({ signalMw }) => signalMw),
    netMbps: Float64Array.from(kept, ({ mbps }) => mbps),
  };
}
