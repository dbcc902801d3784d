import { type AdviceProblem, type ChannelPlan, doesOverlap } from "./advice-problem.ts";

/** Sectors of one site that lie side by side: next in azimuth, either way. */
export function findNeighbours({ sectors }: Pick<AdviceProblem, "sectors">, sector: number): number[] {
  const around = [...sectors.keys()]
    .filter((other) => sectors[other].site === sectors[sector].site)
    .sort((a, b) => sectors[a].azimuthDeg - sectors[b].azimuthDeg || a - b);
  const at = around.indexOf(sector);
  const beside = [around[(at + 1) % around.length], around[(at + around.length - 1) % around.length]];
  return [...new Set(beside)].filter((other) => other !== sector);
}

/** Pairs of neighbours whose channels overlap under the plan. */
export function listPlanOverlaps(problem: AdviceProblem, plan: ChannelPlan): [number, number][] {
  const { channels, sectors } = problem;
  return sectors.flatMap((_, sector) =>
    findNeighbours(problem, sector)
      .filter((other) => other > sector && doesOverlap(channels[plan[sector]], channels[plan[other]]))
      .map((other): [number, number] => [sector, other]),
  );
}
