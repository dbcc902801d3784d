import type { TrafficSpec } from "@fellmark/network";
import type { Channel } from "@fellmark/radio";
import { type AdviceProblem, type ChannelPlan, readTodaysPlan, SILENT } from "./advice-problem.ts";
import { choosePlan } from "./choose-plan.ts";
import { lookUpRate } from "./graded-rate.ts";
import { listPlanOverlaps } from "./overlaps.ts";
import { computeDownSinr, computeUpSinr } from "./p10.ts";
import { judgeChannel, type RankedChannel, rankChannels } from "./rank-channels.ts";
import { computeSectorCapacity, type SectorCapacity, type SoldPlan } from "./sector-capacity.ts";

/** One channel for one sector, others as told. Levels and rates are those of the 10th percentile, after margins. */
export interface ChannelReport {
  channel: Channel;
  /** Null where the sector serves nobody. */
  sinrDownDb: number | null;
  sinrUpDb: number | null;
  downMbps: number;
  upMbps: number;
  /** Neighbours on the same site whose channel overlaps. */
  overlaps: number;
  isDfs: boolean;
  /** For a radar channel: where to go when a radar is found; null where no clear channel is left. */
  fallback: Channel | null;
}

/** Capacity of a sector with all others silent, and with all at their load. */
export interface LoadedCapacity {
  unloaded: SectorCapacity;
  loaded: SectorCapacity;
}

export interface SectorAdvice {
  id: string;
  places: number;
  today: ChannelReport;
  /** By the joint plan, all others on theirs of it. */
  chosen: ChannelReport;
  /** Best first, all others as today. */
  ranking: ChannelReport[];
  refused: { channel: Channel; reason: string }[];
  capacity: { today: LoadedCapacity; chosen: LoadedCapacity };
}

/** All sectors together under one plan. */
export interface PlanReport {
  /** Sums over the sectors of the 10th percentile's rates. */
  downMbps: number;
  upMbps: number;
  /** Pairs of neighbours whose channels overlap. */
  overlaps: [string, string][];
}

export interface Advice {
  sectors: SectorAdvice[];
  today: PlanReport;
  chosen: PlanReport;
  /** Sectors that change their channel. */
  changes: number;
  /** Geometric mean over sectors and directions of the 10th percentile's rate, chosen over today's; rates without steps. */
  rateFactor: number;
  /** True where the search ended at its limit, so that a better plan may exist. */
  isCutShort: boolean;
}

export interface AdviceOptions {
  seed?: number;
  /** Traffic of each sector of the problem. */
  traffic: readonly TrafficSpec[];
}

/** Ranking, joint choice, co-channel overlaps and capacities of a problem. The same for the same seed. */
export function buildAdvice(
  problem: AdviceProblem,
  plans: readonly SoldPlan[],
  { seed = 1, traffic }: AdviceOptions,
): Advice {
  const today = readTodaysPlan(problem);
  const { plan: chosen, score, isCutShort } = choosePlan(problem, { seed });
  const capacity = (plan: ChannelPlan, sector: number) =>
    computeLoadedCapacity(problem, plan, sector, { plans, traffic: traffic[sector] });
  const judged = (plan: ChannelPlan) => problem.sectors.map((_, sector) => judgeChannel(problem, plan, sector));
  const [before, after] = [judged(today), judged(chosen)];
  const scoreBefore = before.reduce((sum, own) => sum + own.score, 0);
  return {
    sectors: problem.sectors.map(({ id, points }, sector) => ({
      id,
      places: points.count,
      today: buildChannelReport(problem, before[sector]),
      chosen: buildChannelReport(problem, after[sector]),
      ranking: rankChannels(problem, today, sector).map((ranked) => buildChannelReport(problem, ranked)),
      refused: listRefused(problem, sector),
      capacity: { today: capacity(today, sector), chosen: capacity(chosen, sector) },
    })),
    today: planReport(problem, today, before),
    chosen: planReport(problem, chosen, after),
    changes: chosen.filter((channel, sector) => channel !== today[sector]).length,
    rateFactor: Math.exp((score - scoreBefore) / (2 * problem.sectors.length)),
    isCutShort,
  };
}

function buildChannelReport({ channels }: AdviceProblem, ranked: RankedChannel): ChannelReport {
  const { sinrDownDb, sinrUpDb, downMbps, upMbps, overlaps, fallback } = ranked;
  return {
    channel: describeChannel(channels[ranked.channel]),
    sinrDownDb: Number.isFinite(sinrDownDb) ? sinrDownDb : null,
    sinrUpDb: Number.isFinite(sinrUpDb) ? sinrUpDb : null,
    downMbps,
    upMbps,
    overlaps,
    isDfs: channels[ranked.channel].isDfs,
    fallback: fallback === null ? null : describeChannel(channels[fallback]),
  };
}

function describeChannel({ centreMhz, widthMhz }: Channel): Channel {
  return { centreMhz, widthMhz };
}

function listRefused({ channels, sectors }: AdviceProblem, sector: number): SectorAdvice["refused"] {
  return sectors[sector].uses.flatMap(({ refusal }, channel) =>
    refusal === null ? [] : [{ channel: describeChannel(channels[channel]), reason: refusal }],
  );
}

function planReport(problem: AdviceProblem, plan: ChannelPlan, judged: readonly RankedChannel[]): PlanReport {
  const { sectors } = problem;
  const serving = judged.filter((_, sector) => sectors[sector].points.count > 0);
  return {
    downMbps: serving.reduce((sum, own) => sum + own.downMbps, 0),
    upMbps: serving.reduce((sum, own) => sum + own.upMbps, 0),
    overlaps: listPlanOverlaps(problem, plan).map(([a, b]) => [sectors[a].id, sectors[b].id]),
  };
}

function computeLoadedCapacity(
  problem: AdviceProblem,
  plan: ChannelPlan,
  sector: number,
  { plans, traffic }: { plans: readonly SoldPlan[]; traffic: TrafficSpec },
): LoadedCapacity {
  const alone = plan.map((channel, other) => (other === sector ? channel : SILENT));
  const capacity = (under: ChannelPlan) =>
    computeSectorCapacity(findPlacesUnder(problem, under, sector), plans, traffic);
  return { unloaded: capacity(alone), loaded: capacity(plan) };
}

function findPlacesUnder(problem: AdviceProblem, plan: ChannelPlan, sector: number) {
  const { points, uses } = problem.sectors[sector];
  const use = uses[plan[sector]];
  const down = computeDownSinr(problem, plan, sector);
  const up = computeUpSinr(problem, plan, sector);
  return Array.from(points.plan, (sold, point) => ({
    plan: sold,
    downMbps: lookUpRate(use.down, down[point]),
    upMbps: lookUpRate(use.up, up[point]),
  }));
}
