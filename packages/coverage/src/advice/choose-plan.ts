import { createSeededRandom } from "@fellmark/units";
import { type AdviceProblem, type ChannelPlan, listChoices, readTodaysPlan } from "./advice-problem.ts";
import {
  LEAST_GAIN,
  movePairs,
  moveSingles,
  repeatWhileBetter,
  type ScoredPlan,
  type Search,
  scorePlan,
} from "./local-search.ts";
import { chooseGreedyPlan, drawPlan } from "./starting-plans.ts";

export interface SearchOptions {
  seed?: number;
  /** Most plans that are tried one by one. */
  exactPlans?: number;
  /** Random starts beside today's plan and the greedy one. */
  restarts?: number;
  /** Scores of single sectors after which the search ends: a bound on its time that is the same on every machine. */
  maxScores?: number;
}

export interface ChosenPlan {
  plan: ChannelPlan;
  score: number;
  /** True where `maxScores` ended the search before any plan was found that no move makes better. */
  isCutShort: boolean;
}

/**
 * A channel for every sector: the best of all plans where these are few, else the best that a search finds; today's plan
 * where nothing is better. The same for the same seed.
 */
export function choosePlan(
  problem: AdviceProblem,
  { seed = 1, exactPlans = 4096, restarts = 16, maxScores = 300_000 }: SearchOptions = {},
): ChosenPlan {
  const choices = problem.sectors.map((_, sector) => listChoices(problem, sector));
  const search = { problem, choices, scoresLeft: maxScores };
  return countOfPlans(choices) <= exactPlans
    ? findBestPlan(search)
    : searchPlan(search, restarts, createSeededRandom(seed));
}

/**
 * Starts from today's plan, a greedy colouring and random plans. Each is improved by moving one sector at a time; what
 * comes out, the best first, by moving two at a time as well, until no move helps.
 */
function searchPlan(search: Search, restarts: number, random: () => number): ChosenPlan {
  const { problem, choices } = search;
  const drawn = Array.from({ length: restarts }, () => drawPlan(problem, choices, random));
  const starts = [readTodaysPlan(problem), chooseGreedyPlan(problem, choices), ...drawn];
  const settled = starts.map((start) => repeatWhileBetter(search, scorePlan(search, start), moveSingles));
  let best = scorePlan(search, readTodaysPlan(problem));
  let finished = 0;
  for (const from of settled.sort((a, b) => b.score - a.score)) {
    const found = repeatWhileBetter(search, from, (_, plan) => movePairs(search, moveSingles(search, plan)));
    best = chooseBetter(best, found);
    if (search.scoresLeft > 0) finished++;
  }
  return { plan: best.plan, score: best.score, isCutShort: finished === 0 };
}

/** A sector without a choice has one plan. */
function countOfPlans(choices: readonly number[][]): number {
  return choices.reduce((count, own) => count * Math.max(1, own.length), 1);
}

/** Tries every plan: the number of a plan, read digit by digit, says which choice each sector takes. */
function findBestPlan(search: Search): ChosenPlan {
  const { problem, choices } = search;
  let best = scorePlan(search, readTodaysPlan(problem));
  for (let number = 0; number < countOfPlans(choices); number++) {
    let rest = number;
    const plan = Int16Array.from(problem.sectors, ({ today }, sector) => {
      const own = choices[sector];
      if (own.length === 0) return today;
      const digit = rest % own.length;
      rest = (rest - digit) / own.length;
      return own[digit];
    });
    best = chooseBetter(best, scorePlan(search, plan));
  }
  return { plan: best.plan, score: best.score, isCutShort: false };
}

function chooseBetter(best: ScoredPlan, next: ScoredPlan): ScoredPlan {
  return next.score > best.score + LEAST_GAIN ? next : best;
}
