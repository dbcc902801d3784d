import { type LeadLine, readValue } from "./lead-answer.ts";

/** Leads without a place that a summary lists; all are counted. */
const MAX_LISTED = 1000;

/** Counts of leads by outcome. */
export interface BatchCounts {
  leads: number;
  byVerdict: Record<string, number>;
  /** Leads whose verdict is survey-first, by the expected outcome of the survey. */
  byLikelihood: Record<string, number>;
  /** Best plans that hold with the margins; leads without one are not among them. */
  byPlan: Record<string, number>;
  /** Leads whose place is not known, by the kind of problem. */
  byProblem: Record<string, number>;
  /** The first of them. */
  problems: { row: number; problem: string; detail: string }[];
}

export interface BatchCounter {
  add(lines: readonly LeadLine[]): void;
  counts(): BatchCounts;
}

export function createBatchCounter(): BatchCounter {
  const createCounts = () => new Map<string, number>();
  const [verdicts, likelihoods, plans, problems] = [createCounts(), createCounts(), createCounts(), createCounts()];
  const listed: BatchCounts["problems"] = [];
  let leads = 0;
  return {
    add(lines) {
      for (const line of lines) {
        leads++;
        count(verdicts, readValue(line, "verdict"));
        count(likelihoods, readValue(line, "likelihood"));
        count(plans, readValue(line, "plan"));
        const problem = readValue(line, "problem");
        count(problems, problem);
        if (problem === null || listed.length >= MAX_LISTED) continue;
        listed.push({
          row: Number(readValue(line, "row")),
          problem: String(problem),
          detail: String(readValue(line, "reason")),
        });
      }
    },
    counts: () => ({
      leads,
      byVerdict: sortByCount(verdicts),
      byLikelihood: sortByCount(likelihoods),
      byPlan: sortByCount(plans),
      byProblem: sortByCount(problems),
      problems: listed,
    }),
  };
}

function count(counts: Map<string, number>, value: unknown): void {
  if (value !== null) counts.set(String(value), (counts.get(String(value)) ?? 0) + 1);
}

function sortByCount(counts: Map<string, number>): Record<string, number> {
  return Object.fromEntries([...counts].sort(([a], [b]) => (a < b ? -1 : 1)));
}
