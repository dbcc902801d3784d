import { computePortRate, type DownPort, findPortMargin, type RateSteps } from "./down-port.ts";
import { computeReserve, selectStreams } from "./link-physics.ts";

/** Rates with all streams, which go by the worse port, and with a single one, which goes by the better. */
export interface StreamRates {
  all: RateSteps;
  single: RateSteps;
}

/** Margins of a planned rate: its fade margin, and so many sigmas for prediction errors. */
export interface Margins {
  fadeDb: number;
  confidenceFactor: number;
}

/**
 * Net downlink rate, Mbit/s: with margins the planned rate, without any the rate now.
 * @param ports one where both are alike.
 */
export function computeDownRateMbps(
  ports: readonly DownPort[],
  rates: StreamRates,
  { fadeDb, confidenceFactor }: Margins,
): number {
  let all = Number.POSITIVE_INFINITY;
  let single = 0;
  for (const port of ports) {
    all = Math.min(all, computePortRate(port, rates.all, fadeDb, confidenceFactor));
    if (ports.length > 1) single = Math.max(single, computePortRate(port, rates.single, fadeDb, confidenceFactor));
  }
  return selectStreams(all, single);
}

/** Sigmas beyond which a probability is 0 or 1, for all that is told of it. */
const CERTAIN_SIGMAS = 4;

/** Halvings of the span between them: to 0.001 sigmas. */
const HALVINGS = 13;

/**
 * Sigmas that a downlink has in hand for a speed after fading, from which its probability follows: the greatest number
 * at which `computeDownRateMbps` still has it.
 */
export function findDownReserve(ports: readonly DownPort[], rates: StreamRates, mbps: number, fadeDb: number): number {
  if (ports.every(({ states }) => states === 1)) return findSteadyReserve(ports, rates, mbps, fadeDb);
  const has = (confidenceFactor: number) => computeDownRateMbps(ports, rates, { fadeDb, confidenceFactor }) >= mbps;
  if (has(CERTAIN_SIGMAS)) return Number.POSITIVE_INFINITY;
  if (!has(-CERTAIN_SIGMAS)) return Number.NEGATIVE_INFINITY;
  let [held, lost] = [-CERTAIN_SIGMAS, CERTAIN_SIGMAS];
  for (let halving = 0; halving < HALVINGS; halving++) {
    const tried = (held + lost) / 2;
    if (has(tried)) held = tried;
    else lost = tried;
  }
  return held;
}

/** The same where nobody comes and goes, by the inverse of the SINR. */
function findSteadyReserve(ports: readonly DownPort[], rates: StreamRates, mbps: number, fadeDb: number): number {
  let all = Number.POSITIVE_INFINITY;
  let single = Number.NEGATIVE_INFINITY;
  for (const port of ports) {
    const sigmaDb = port.sigmaDb[0];
    all = Math.min(all, computeReserve(findPortMargin(port, rates.all, mbps), fadeDb, sigmaDb));
    if (ports.length === 1) continue;
    single = Math.max(single, computeReserve(findPortMargin(port, rates.single, mbps), fadeDb, sigmaDb));
  }
  return selectStreams(all, single);
}
