/** Leads without a place that the terminal shows; summary.json has the first thousand. */
const SHOWN_PROBLEMS = 20;

/** The part of a batch's summary.json that is printed. */
export interface BatchSummary {
  leads: number;
  byVerdict: Record<string, number>;
  byLikelihood: Record<string, number>;
  byPlan: Record<string, number>;
  byProblem: Record<string, number>;
  problems: { row: number; problem: string; detail: string }[];
  caution: string;
}

/** Formats a batch: counts of verdicts and plans, and the leads whose place was not found. */
export function formatBatch({
  leads,
  byVerdict,
  byLikelihood,
  byPlan,
  byProblem,
  problems,
  caution,
}: BatchSummary): string {
  const shown = problems.slice(0, SHOWN_PROBLEMS);
  return [
    `${leads} leads: ${formatCounts(byVerdict)}`,
    ...(Object.keys(byLikelihood).length > 0 ? [`survey first, service: ${formatCounts(byLikelihood)}`] : []),
    `best plan: ${formatCounts(byPlan)}`,
    ...(problems.length > 0 ? [`place not found: ${formatCounts(byProblem)}`] : []),
    ...shown.map(({ row, problem, detail }) => `  row ${row}: ${problem}: ${detail}`),
    ...(problems.length > shown.length ? ["  more rows are in summary.json"] : []),
    caution,
  ].join("\n");
}

function formatCounts(counts: Record<string, number>): string {
  const parts = Object.entries(counts).map(([name, count]) => `${count} ${name}`);
  return parts.join(", ") || "none";
}
