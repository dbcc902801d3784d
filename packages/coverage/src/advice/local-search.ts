import type { AdviceProblem, ChannelPlan } from "./advice-problem.ts";
import { scoreSector } from "./sector-score.ts";

/** A plan must be better by this much to replace another: sums of logarithms differ in their last digits. */
export const LEAST_GAIN = 1e-9;

/** A search that is on its way. */
export interface Search {
  problem: AdviceProblem;
  /** By sector: channels that it may be given. */
  choices: number[][];
  scoresLeft: number;
}

export interface ScoredPlan {
  plan: ChannelPlan;
  scores: Float64Array;
  score: number;
}

export function scorePlan(search: Search, plan: ChannelPlan): ScoredPlan {
  search.scoresLeft -= plan.length;
  const scores = Float64Array.from(plan, (_, sector) => scoreSector(search.problem, plan, sector));
  return { plan, scores, score: sumValues(scores) };
}

/** Takes a step again and again while the plan gets better. */
export function repeatWhileBetter(
  search: Search,
  start: ScoredPlan,
  step: (search: Search, from: ScoredPlan) => ScoredPlan,
): ScoredPlan {
  let best = start;
  for (let next = step(search, best); next.score > best.score + LEAST_GAIN; next = step(search, best)) best = next;
  return best;
}

/** Gives every sector each of its channels and keeps what is better. */
export function moveSingles(search: Search, start: ScoredPlan): ScoredPlan {
  let best = start;
  for (let sector = 0; sector < start.plan.length; sector++) {
    for (const channel of search.choices[sector]) best = tryMoves(search, best, [[sector, channel]]);
  }
  return best;
}

/** The same with every two sectors at once: what single moves cannot reach, exchanges among them. */
export function movePairs(search: Search, start: ScoredPlan): ScoredPlan {
  let best = start;
  for (let one = 0; one < start.plan.length; one++) {
    for (let other = one + 1; other < start.plan.length; other++) {
      for (const [a, b] of listPairs(search.choices[one], search.choices[other])) {
        best = tryMoves(search, best, [
          [one, a],
          [other, b],
        ]);
      }
    }
  }
  return best;
}

function* listPairs(first: number[], second: number[]): Generator<[number, number]> {
  for (const a of first) for (const b of second) yield [a, b];
}

/** The plan after the moves where it is better, else the plan itself. Sectors that hear no difference keep their score. */
function tryMoves(search: Search, best: ScoredPlan, moves: [sector: number, channel: number][]): ScoredPlan {
  const moved = moves.filter(([sector, channel]) => best.plan[sector] !== channel);
  if (moved.length < moves.length || search.scoresLeft <= 0) return best;
  const plan = best.plan.slice();
  for (const [sector, channel] of moved) plan[sector] = channel;
  const scores = best.scores.slice();
  for (let sector = 0; sector < plan.length; sector++) {
    if (!moved.some(([mover]) => isHeardDifferently(search.problem, best.plan, plan, mover, sector))) continue;
    search.scoresLeft--;
    scores[sector] = scoreSector(search.problem, plan, sector);
  }
  const score = sumValues(scores);
  return score > best.score + LEAST_GAIN ? { plan, scores, score } : best;
}

function isHeardDifferently(
  { sectors, channels }: AdviceProblem,
  before: ChannelPlan,
  after: ChannelPlan,
  mover: number,
  victim: number,
): boolean {
  if (mover === victim) return true;
  const [from, to] = [sectors[mover].uses[before[mover]], sectors[mover].uses[after[mover]]];
  const reach = (plan: ChannelPlan) => sectors[victim].coupling[plan[mover] * channels.length + before[victim]];
  return reach(before) !== reach(after) || from.downScale !== to.downScale || from.upScale !== to.upScale;
}

function sumValues(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0);
}
