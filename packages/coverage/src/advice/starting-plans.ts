import { type AdviceProblem, type ChannelPlan, SILENT } from "./advice-problem.ts";
import { LEAST_GAIN } from "./local-search.ts";
import { scoreSector } from "./sector-score.ts";

/**
 * Colours the sectors one by one, those that are heard the most first, each with the channel that is best for it beside
 * those before it.
 * Source: D. Welsh, M. Powell, The Computer Journal 10 (1967): vertices by falling degree.
 */
export function chooseGreedyPlan(problem: AdviceProblem, choices: number[][]): ChannelPlan {
  const plan = new Int16Array(problem.sectors.length).fill(SILENT);
  const degree = problem.sectors.map((_, sector) => measureLoudness(problem, sector));
  const order = [...plan.keys()].sort((a, b) => degree[b] - degree[a] || a - b);
  for (const sector of order) {
    let best = { channel: problem.sectors[sector].today, score: Number.NEGATIVE_INFINITY };
    for (const channel of choices[sector]) {
      plan[sector] = channel;
      const score = scoreSector(problem, plan, sector);
      if (score > best.score + LEAST_GAIN) best = { channel, score };
    }
    plan[sector] = best.channel;
  }
  return plan;
}

/**
 * Returns by how much a sector's subscribers exceed the noise at all others, as a sum of ratios: its degree in the
 * graph.
 */
function measureLoudness({ sectors }: AdviceProblem, sector: number): number {
  return sectors.reduce((sum, victim) => sum + victim.subscriberMw[sector] / victim.uses[victim.today].noiseUpMw, 0);
}

/** A sector without a choice keeps today's channel. */
export function drawPlan({ sectors }: AdviceProblem, choices: number[][], random: () => number): ChannelPlan {
  return Int16Array.from(sectors, ({ today }, sector) => {
    const own = choices[sector];
    return own.length === 0 ? today : own[Math.floor(random() * own.length)];
  });
}
