import { uniformFrom } from "../uplink/uplink-distribution.ts";
import { type AdviceProblem, type ChannelPlan, choicesOf, SILENT, todaysPlan } from "./advice-problem.ts";
import { sectorScore } from "./sector-score.ts";

export interface SearchOptions {
  seed?: number;
  /** Random starts beside today's plan and the greedy one. */
  restarts?: number;
  /** Scores of single sectors after which the search ends: a bound on its time that is the same on every machine. */
  maxScores?: number;
}

export interface ChosenPlan {
  plan: ChannelPlan;
  score: number;
  /** Whether `maxScores` ended the search before any plan was found that no move makes better. */
  isCutShort: boolean;
}

/** A plan must be better by this much to replace another: sums of logarithms differ in their last digits. */
const LEAST_GAIN = 1e-9;

/**
 * A channel for every sector. Starts are today's plan, a greedy colouring and seeded random plans. Each is improved by
 * moving one sector at a time; what comes out, the best first, by moving two at a time as well, until no move helps.
 * Today's plan is returned where nothing is better. The same for the same seed.
 */
export function choosePlan(
  problem: AdviceProblem,
  { seed = 1, restarts = 16, maxScores = 300_000 }: SearchOptions = {},
): ChosenPlan {
  const choices = problem.sectors.map((_, sector) => choicesOf(problem, sector));
  const search = { problem, choices, scoresLeft: maxScores };
  const random = uniformFrom(seed);
  const drawn = Array.from({ length: restarts }, () => randomPlan(problem, choices, random));
  const starts = [todaysPlan(problem), greedyPlan(problem, choices), ...drawn];
  const settled = starts.map((start) => repeatWhileBetter(search, scored(search, start), moveSingles));
  let best = scored(search, todaysPlan(problem));
  let finished = 0;
  for (const from of settled.sort((a, b) => b.score - a.score)) {
    const found = repeatWhileBetter(search, from, (_, plan) => movePairs(search, moveSingles(search, plan)));
    if (found.score > best.score + LEAST_GAIN) best = found;
    if (search.scoresLeft > 0) finished++;
  }
  return { plan: best.plan, score: best.score, isCutShort: finished === 0 };
}

interface Search {
  problem: AdviceProblem;
  choices: number[][];
  scoresLeft: number;
}

interface ScoredPlan {
  plan: ChannelPlan;
  scores: Float64Array;
  score: number;
}

function scored(search: Search, plan: ChannelPlan): ScoredPlan {
  search.scoresLeft -= plan.length;
  const scores = Float64Array.from(plan, (_, sector) => sectorScore(search.problem, plan, sector));
  return { plan, scores, score: sumOf(scores) };
}

function repeatWhileBetter(
  search: Search,
  start: ScoredPlan,
  step: (search: Search, from: ScoredPlan) => ScoredPlan,
): ScoredPlan {
  let best = start;
  for (let next = step(search, best); next.score > best.score + LEAST_GAIN; next = step(search, best)) best = next;
  return best;
}

function moveSingles(search: Search, start: ScoredPlan): ScoredPlan {
  let best = start;
  for (let sector = 0; sector < start.plan.length; sector++) {
    for (const channel of search.choices[sector]) best = tryMoves(search, best, [[sector, channel]]);
  }
  return best;
}

function movePairs(search: Search, start: ScoredPlan): ScoredPlan {
  let best = start;
  for (let one = 0; one < start.plan.length; one++) {
    for (let other = one + 1; other < start.plan.length; other++) {
      for (const [a, b] of pairs(search.choices[one], search.choices[other])) {
        best = tryMoves(search, best, [
          [one, a],
          [other, b],
        ]);
      }
    }
  }
  return best;
}

function* pairs(first: number[], second: number[]): Generator<[number, number]> {
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
    scores[sector] = sectorScore(search.problem, plan, sector);
  }
  const score = sumOf(scores);
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

/**
 * Colours the sectors one by one, those that are heard the most first, each with the channel that is best for it beside
 * those before it.
 * Source: D. Welsh, M. Powell, The Computer Journal 10 (1967): vertices by falling degree.
 */
function greedyPlan(problem: AdviceProblem, choices: number[][]): ChannelPlan {
  const plan = new Int16Array(problem.sectors.length).fill(SILENT);
  const degree = problem.sectors.map((_, sector) => loudness(problem, sector));
  const order = [...plan.keys()].sort((a, b) => degree[b] - degree[a] || a - b);
  for (const sector of order) {
    let best = { channel: problem.sectors[sector].today, score: Number.NEGATIVE_INFINITY };
    for (const channel of choices[sector]) {
      plan[sector] = channel;
      const score = sectorScore(problem, plan, sector);
      if (score > best.score + LEAST_GAIN) best = { channel, score };
    }
    plan[sector] = best.channel;
  }
  return plan;
}

/** How far a sector's subscribers lie over the noise at all others, as a sum of ratios: its degree in the graph. */
function loudness({ sectors }: AdviceProblem, sector: number): number {
  return sectors.reduce((sum, victim) => sum + victim.subscriberMw[sector] / victim.uses[victim.today].noiseUpMw, 0);
}

/** A sector without a choice keeps today's channel. */
function randomPlan({ sectors }: AdviceProblem, choices: number[][], random: () => number): ChannelPlan {
  return Int16Array.from(sectors, ({ today }, sector) => {
    const own = choices[sector];
    return own.length === 0 ? today : own[Math.floor(random() * own.length)];
  });
}

function sumOf(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0);
}
