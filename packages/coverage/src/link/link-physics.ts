import { computeComplementaryNormal } from "@fellmark/propagation";
import { NEPERS_PER_DB, toDb } from "@fellmark/units";

/**
 * The physics of one link on plain numbers: levels in mW per chain at one port of the receiver, ratios linear. The map's
 * row loops and the answers at a place call these functions and have no formula of their own.
 *
 * Signal and interference of the server's own site come along one path and fade together; noise and interference of all
 * other transmitters (here: steady) stay as they are while the signal fades.
 */

/** Share of the signal that is left once it has lost its fade margin and its margin for prediction errors. */
export function computeKeptShare(fadeDb: number, confidenceFactor: number, sigmaDb: number): number {
  return Math.exp((fadeDb + confidenceFactor * sigmaDb) * -NEPERS_PER_DB);
}

/**
 * SINR of a link of whose signal a share is left.
 * Example: half of 10 mW over 1 mW of noise and half of 3 mW of its own site: 5 / 2.5 = 2.
 */
export function computeSinr(signalMw: number, steadyMw: number, ownSiteMw: number, keptShare: number): number {
  return (signalMw * keptShare) / (steadyMw + ownSiteMw * keptShare);
}

/**
 * Ratio by which the signal may fall until it no longer has the least SINR; 1 or less where it does not have it now, 0 or
 * less where the interference of its own site alone forbids it. The inverse of `computeSinr`.
 * Example: 10 mW over 1 mW of noise and 0.5 mW of its own site, least SINR 4: (10 - 4 * 0.5) / (4 * 1) = 2.
 */
export function computeDownMargin(signalMw: number, steadyMw: number, ownSiteMw: number, leastSinr: number): number {
  return (signalMw - leastSinr * ownSiteMw) / (leastSinr * steadyMw);
}

/**
 * Port that a link is told by: the worse of the two where all streams go by it, the better where there is one stream.
 * @param last SINR or level of the second port; the first where both are alike.
 */
export function findLeadingPort(isSingleStream: boolean, first: number, last: number): 0 | 1 {
  if (first === last) return 0;
  return isSingleStream === first > last ? 0 : 1;
}

/** Margin or rate of one direction: all streams by the worse port, or a single one by the better, whichever gives more. */
export function selectStreams(both: number, single: number): number {
  return Math.max(both, single);
}

/**
 * Sigmas that a link has in hand whose signal may fall by the ratio `margin` and is expected to lose its fade margin.
 * Example: 20 dB to spare, 10 dB of fading, sigma 5 dB: 2.
 */
export function computeReserve(margin: number, fadeDb: number, sigmaDb: number): number {
  if (!(margin > 0)) return Number.NEGATIVE_INFINITY;
  return (toDb(margin) - fadeDb) / sigmaDb;
}

/** Probability that a link holds with such a reserve: Phi(reserve). Example: 2 sigmas in hand: 0.97725. */
export function computeHoldProbability(reserve: number): number {
  if (reserve === Number.NEGATIVE_INFINITY) return 0;
  return reserve === Number.POSITIVE_INFINITY ? 1 : computeComplementaryNormal(-reserve);
}

/** Gain of a CPE toward another mast over its gain at its aim, linear; the pointing loss does not hold off the aim. */
export function computeDiscrimination(gain: number, scattered: number, perGainAtAim: number): number {
  return (gain + scattered) * perGainAtAim;
}

/** Number of levels that are reached, of a list that rises: 0 is none. */
export function countReached(rising: Float64Array, level: number): number {
  let low = 0;
  let high = rising.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (level >= rising[middle]) low = middle + 1;
    else high = middle;
  }
  return low;
}
