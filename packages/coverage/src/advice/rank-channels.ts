import { type AdviceProblem, type ChannelPlan, doesOverlap, listChoices } from "./advice-problem.ts";
import { findNeighbours } from "./overlaps.ts";
import { computeP10, type P10 } from "./p10.ts";
import { scoreSector } from "./sector-score.ts";

/** A channel for one sector while all others keep theirs. */
export interface RankedChannel extends P10 {
  channel: number;
  score: number;
  /** Neighbours on the same site whose channel overlaps it: at the co-channel overlap between them C/I is 0 dB. */
  overlaps: number;
  /** For a radar channel: the best channel to leave to, or null where there is none that is clear. */
  fallback: number | null;
}

/** Share of the 10th percentile's rates that a fallback must keep, down and up. Common practice, no source. */
const FALLBACK_SHARE = 0.75;

/** Channels that a sector may use, best first; all other sectors as in the plan. */
export function rankChannels(problem: AdviceProblem, plan: ChannelPlan, sector: number): RankedChannel[] {
  const trial = plan.slice();
  const tried = listChoices(problem, sector).map((channel) => {
    trial[sector] = channel;
    return {
      channel,
      score: scoreSector(problem, trial, sector),
      overlaps: listSectorOverlaps(problem, trial, sector),
      ...computeP10(problem, trial, sector),
    };
  });
  tried.sort((a, b) => b.score - a.score || a.overlaps - b.overlaps || a.channel - b.channel);
  return tried.map((own) => ({ ...own, fallback: findFallback(problem, tried, own) }));
}

/** Returns the rank of one channel of the plan itself. */
export function judgeChannel(problem: AdviceProblem, plan: ChannelPlan, sector: number): RankedChannel {
  const own = {
    channel: plan[sector],
    score: scoreSector(problem, plan, sector),
    overlaps: listSectorOverlaps(problem, plan, sector),
    ...computeP10(problem, plan, sector),
  };
  return { ...own, fallback: findFallback(problem, rankChannels(problem, plan, sector), own) };
}

type Tried = Omit<RankedChannel, "fallback">;

function findFallback({ channels }: AdviceProblem, ranked: readonly Tried[], own: Tried): number | null {
  if (!channels[own.channel].isDfs) return null;
  const keeps = (other: Tried) =>
    other.downMbps >= FALLBACK_SHARE * own.downMbps && other.upMbps >= FALLBACK_SHARE * own.upMbps;
  const best = ranked.find((other) => !doesOverlap(channels[other.channel], channels[own.channel]) && keeps(other));
  return best?.channel ?? null;
}

function listSectorOverlaps(problem: AdviceProblem, plan: ChannelPlan, sector: number): number {
  const { channels } = problem;
  const own = channels[plan[sector]];
  return findNeighbours(problem, sector).filter((other) => doesOverlap(channels[plan[other]], own)).length;
}
