import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { type AdviceProblem, doesOverlap, readTodaysPlan } from "./advice-problem.ts";
import { choosePlan } from "./choose-plan.ts";
import { planScore } from "./sector-score.ts";
import { drawSmallProblem } from "./testing/small-problem.ts";

/** The best score of all plans, by trying every one. */
function bestOfAll(problem: AdviceProblem): number {
  const { sectors, channels } = problem;
  let best = Number.NEGATIVE_INFINITY;
  for (let number = 0; number < channels.length ** sectors.length; number++) {
    const plan = Int16Array.from(
      sectors,
      (_, sector) => Math.floor(number / channels.length ** sector) % channels.length,
    );
    best = Math.max(best, planScore(problem, plan));
  }
  return best;
}

const centresMhz = [5180, 5200, 5220, 5745];

describe("a channel for every sector", () => {
  it("is the best of all plans in each of 50 networks of 2 to 4 sectors and 2 to 4 channels, searched or tried", () => {
    let worst = 0;
    for (let seed = 1; seed <= 50; seed++) {
      const random = createSeededRandom(seed);
      const problem = drawSmallProblem({
        sectors: 2 + Math.floor(3 * random()),
        centresMhz: centresMhz.slice(0, 2 + Math.floor(3 * random())),
        points: 40,
        emitters: Math.floor(3 * random()),
        random,
      });
      const best = bestOfAll(problem);
      const scores = [choosePlan(problem, { seed, exactPlans: 0 }).score, choosePlan(problem).score];
      worst = Math.max(worst, best - Math.min(...scores));
    }
    expect(worst).toBeLessThan(1e-9);
  });

  it("is the same every time for a seed, and never worse than today's", () => {
    const problem = drawSmallProblem({ sectors: 6, centresMhz, points: 40, random: createSeededRandom(7) });
    const first = choosePlan(problem, { seed: 5, exactPlans: 0 });
    expect(choosePlan(problem, { seed: 5, exactPlans: 0 })).toEqual(first);
    expect(first.score).toBeGreaterThanOrEqual(planScore(problem, readTodaysPlan(problem)));
    expect(first.score).toBeCloseTo(planScore(problem, first.plan), 9);
    expect(first.isCutShort).toBe(false);
  });

  it("gives two sectors that interfere channels apart", () => {
    const problem = drawSmallProblem({ sectors: 2, centresMhz, points: 40, random: createSeededRandom(3) });
    const { plan } = choosePlan(problem);
    expect(doesOverlap(problem.channels[plan[0]], problem.channels[plan[1]])).toBe(false);
  });

  it("keeps today's plan where nothing is better, and where no channel is offered", () => {
    const quiet = drawSmallProblem({ sectors: 1, centresMhz, points: 10, random: createSeededRandom(1) });
    expect([...choosePlan(quiet).plan]).toEqual([0]);
    const closed = drawSmallProblem({ sectors: 3, centresMhz, points: 10, random: createSeededRandom(1) });
    for (const channel of closed.channels) channel.isOffered = false;
    expect([...choosePlan(closed).plan]).toEqual([0, 0, 0]);
  });

  it("ends at its limit and says so", () => {
    const problem = drawSmallProblem({ sectors: 9, centresMhz, points: 20, random: createSeededRandom(7) });
    const { score, isCutShort } = choosePlan(problem, { maxScores: 30 });
    expect(isCutShort).toBe(true);
    expect(score).toBeGreaterThanOrEqual(planScore(problem, readTodaysPlan(problem)));
  });
});
