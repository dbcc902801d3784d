import { NEPERS_PER_DB, toDb } from "@fellmark/units";
import { FOLLOWED_INTERFERERS, type FollowedInterferers, sumFollowedMw } from "./followed-interferers.ts";
import { addUncertainLevel, LEAST_FOLLOWED_SHARE, type UncertainLevel } from "./interference-spread.ts";
import { computeDownMargin, computeKeptShare, computeSinr } from "./link-physics.ts";

/**
 * A downlink through one port of the CPE, in every state of the interferers that come and go: the one definition that
 * the planned rate, the rate now and the probability of a plan are computed from. Levels are mW per chain.
 */
export interface DownPort {
  signalMw: number;
  /** Number of states; 1 where nobody comes and goes. */
  states: number;
  /** Share of the time of each state. */
  share: Float64Array;
  /** Noise and the interference that stays while the signal falls. */
  steadyMw: Float64Array;
  /** Interference of the server's own site, which falls with the signal. */
  ownSiteMw: Float64Array;
  /** Spread of the signal over noise and interference, dB. */
  sigmaDb: Float64Array;
}

/** Levels at a port. */
export interface PortLevels {
  signalMw: number;
  /** Spread of the signal, dB. */
  sigmaDb: number;
  noiseMw: number;
  /**
   * Mean interference of the server's own site, and of all others: of those always on, and of those that come and go.
   */
  ownSiteMw: number;
  constantMw: number;
  changingMw: number;
  /** Noise with those always on and the errors of their paths. */
  noise: UncertainLevel;
  /** The strongest of those that come and go; the sums hold them with their means. */
  followed: FollowedInterferers;
}

const MOST_STATES = 1 << FOLLOWED_INTERFERERS;

export function createDownPort(): DownPort {
  const ofState = () => new Float64Array(MOST_STATES);
  return { signalMw: 0, states: 0, share: ofState(), steadyMw: ofState(), ownSiteMw: ofState(), sigmaDb: ofState() };
}

/** Scratch of fillDownPort: noise and interference of each state with their errors. */
const meanDb = new Float64Array(MOST_STATES);
const variance = new Float64Array(MOST_STATES);
const plainMw = new Float64Array(MOST_STATES);
const spread: UncertainLevel = { meanDb: 0, variance: 0 };

/**
 * Takes a port apart by the states of its followed interferers: every one adds to all states before it a state with it
 * on.
 */
export function fillDownPort(port: DownPort, levels: PortLevels): void {
  const { followed, noise, noiseMw, constantMw, changingMw } = levels;
  const restMw = followed.count === 0 ? changingMw : changingMw - sumFollowedMw(followed, 0);
  port.signalMw = levels.signalMw;
  port.states = 1;
  port.share[0] = 1;
  port.ownSiteMw[0] = followed.count === 0 ? levels.ownSiteMw : levels.ownSiteMw - sumFollowedMw(followed, 1);
  meanDb[0] = noise.meanDb;
  variance[0] = noise.variance;
  plainMw[0] = noiseMw + constantMw;
  for (let index = 0; index < followed.count; index++) splitStates(port, followed, index, noiseMw);
  for (let state = 0; state < port.states; state++) {
    const raisedMw = variance[state] === 0 ? 0 : Math.exp(meanDb[state] * NEPERS_PER_DB);
    port.steadyMw[state] = Math.max(plainMw[state], raisedMw) + restMw;
    port.sigmaDb[state] = Math.sqrt(levels.sigmaDb * levels.sigmaDb + variance[state]);
  }
}

function splitStates(port: DownPort, followed: FollowedInterferers, index: number, noiseMw: number): void {
  const { share, ownSiteMw } = port;
  const [onMw, onShare] = [followed.onMw[index], followed.onShare[index]];
  const isOwnSite = followed.isOwnSite[index] === 1;
  const isCertain = isOwnSite || onMw <= LEAST_FOLLOWED_SHARE * noiseMw;
  for (let off = 0; off < port.states; off++) {
    const on = off + port.states;
    share[on] = share[off] * onShare;
    share[off] *= 1 - onShare;
    ownSiteMw[on] = isOwnSite ? ownSiteMw[off] + onMw : ownSiteMw[off];
    plainMw[on] = isOwnSite ? plainMw[off] : plainMw[off] + onMw;
    spread.meanDb = meanDb[off];
    spread.variance = variance[off];
    if (!isCertain) addUncertainLevel(spread, toDb(onMw), followed.sigmaDb[index]);
    meanDb[on] = spread.meanDb;
    variance[on] = spread.variance;
  }
  port.states *= 2;
}

/** Least SINR of each rate, linear, rising; and net Mbit/s of no rate, then of each. */
export interface RateSteps {
  sinr: Float64Array;
  mbps: Float64Array;
}

/**
 * Net rate through a port that has lost its fade margin and so many sigmas, Mbit/s: the mean of the rates over the
 * states, a mean of rates, never of levels.
 */
export function computePortRate(port: DownPort, { sinr, mbps }: RateSteps, fadeDb: number, sigmas: number): number {
  let mean = 0;
  for (let state = 0; state < port.states; state++) {
    const keptShare = computeKeptShare(fadeDb, sigmas, port.sigmaDb[state]);
    const left = computeSinr(port.signalMw, port.steadyMw[state], port.ownSiteMw[state], keptShare);
    mean += port.share[state] * mbps[rateIndex(sinr, left)];
  }
  return mean;
}

/**
 * Ratio by which the signal of a port without changing interferers may fall until it is less fast than that; 0 where it
 * never is so fast, Infinity where any signal is.
 */
export function findPortMargin(port: DownPort, rates: RateSteps, mbps: number): number {
  const rate = rates.mbps.findIndex((speed) => speed >= mbps);
  if (rate <= 0) return rate < 0 ? 0 : Number.POSITIVE_INFINITY;
  return computeDownMargin(port.signalMw, port.steadyMw[0], port.ownSiteMw[0], rates.sinr[rate - 1]);
}

/** Number of rates whose threshold the ratio reaches: 0 is none. */
export function rateIndex(thresholds: Float64Array, sinr: number): number {
  let index = 0;
  while (index < thresholds.length && sinr >= thresholds[index]) index++;
  return index;
}
