import type { AdviceProblem, ChannelPlan } from "./advice-problem.ts";
import { gradeRate } from "./graded-rate.ts";
import { computeP10Sinr } from "./p10.ts";

/** Rate under which being slower no longer counts, Mbit/s: it keeps the logarithm finite. */
const LEAST_MBPS = 1e-3;

/**
 * Returns the worth of a plan to one sector: ln of the 10th percentile's rate down plus that of its rate up. Summed
 * over the sectors this is proportional fairness: a plan is better when the shares that some gain exceed the shares
 * that others lose.
 * Source: F. Kelly, "Charging and rate control for elastic traffic", European Trans. Telecommunications 8 (1997).
 */
export function scoreSector(problem: AdviceProblem, plan: ChannelPlan, sector: number): number {
  const use = problem.sectors[sector].uses[plan[sector]];
  const { sinrDown, sinrUp } = computeP10Sinr(problem, plan, sector);
  const down = gradeRate(use.down, sinrDown);
  const up = gradeRate(use.up, sinrUp);
  return Math.log(Math.max(LEAST_MBPS, down)) + Math.log(Math.max(LEAST_MBPS, up));
}

/** Sum of the scores of all sectors. */
export function planScore(problem: AdviceProblem, plan: ChannelPlan): number {
  return problem.sectors.reduce((sum, _, sector) => sum + scoreSector(problem, plan, sector), 0);
}
