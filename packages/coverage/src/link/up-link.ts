import type { Margins } from "./down-link.ts";
import { computeKeptShare, computeReserve, countReached, selectStreams } from "./link-physics.ts";

/** Least uplink level of each step of the mean rate, mW, rising; and net Mbit/s below the first, then of each. */
export interface LevelSteps {
  levelMw: Float64Array;
  mbps: Float64Array;
}

/** An uplink: levels at the sector's ports, mW per chain, and what they must reach. */
export interface UpLink {
  /** The weaker port, which all streams go by, and the stronger, which a single one goes by. */
  leastMw: number;
  mostMw: number;
  all: LevelSteps;
  single: LevelSteps;
  /** Ratio by which the sector's noise and interference count more for their spread. */
  raise: number;
  /** Spread of the signal over noise and interference, dB. */
  sigmaDb: number;
}

/** Net uplink rate, Mbit/s: with margins the planned rate, without any the rate now. */
export function computeUpRateMbps(
  { leastMw, mostMw, all, single, raise, sigmaDb }: UpLink,
  { fadeDb, confidenceFactor }: Margins,
): number {
  const keptShare = computeKeptShare(fadeDb, confidenceFactor, sigmaDb) / raise;
  const ofAll = all.mbps[countReached(all.levelMw, leastMw * keptShare)];
  return selectStreams(ofAll, single.mbps[countReached(single.levelMw, mostMw * keptShare)]);
}

/** Sigmas that an uplink has in hand for a speed after fading. */
export function findUpReserve(link: UpLink, mbps: number, fadeDb: number): number {
  const { leastMw, mostMw, all, single, raise, sigmaDb } = link;
  const ofAll = leastMw / (findLeastUpMw(all, mbps) * raise);
  const ofSingle = mostMw / (findLeastUpMw(single, mbps) * raise);
  return computeReserve(selectStreams(ofAll, ofSingle), fadeDb, sigmaDb);
}

/** Least level that has a speed, mW; Infinity where none has it. */
function findLeastUpMw({ levelMw, mbps }: LevelSteps, least: number): number {
  return levelMw[mbps.findIndex((speed) => speed >= least) - 1] ?? Number.POSITIVE_INFINITY;
}
