import type { ErrorRecord, FieldProblem } from "@fellmark/units";
import { stripControls } from "./print.ts";

/** Problems that a terminal shows; the problem document holds all. */
const SHOWN_PROBLEMS = 20;

const TERRAIN_CODES = /^(terrain_|raster_|mast_not_known$|profile_gap$|source_changed$)/;

/** Exit code of a process that a signal has stopped: 128 + SIGINT. */
const STOPPED = 130;

export function findExitCode({ code, problems }: ErrorRecord): number {
  if (code === "cancelled") return STOPPED;
  if (problems) return 2;
  return TERRAIN_CODES.test(code) ? 3 : 1;
}

/** An error as RFC 9457 problem+json. */
export function buildProblemDocument({ code, detail, problems }: ErrorRecord) {
  return {
    type: "about:blank",
    title: code.replaceAll("_", " "),
    code,
    detail,
    ...(problems ? { errors: problems } : {}),
  };
}

/** An error as a person reads it on a terminal. */
export function wordError({ detail, problems = [] }: ErrorRecord): string {
  const [first, ...others] = problems;
  if (!first) return `${stripControls(`Error: ${detail}`)}\n`;
  if (others.length === 0) return `${stripControls(`Error: ${wordFieldProblem(first)}`)}\n`;
  const shown = problems.slice(0, SHOWN_PROBLEMS).map((problem) => `  ${wordFieldProblem(problem)}`);
  const more = problems.length > shown.length ? [`  and ${problems.length - shown.length} more`] : [];
  return `${stripControls([`Error: ${problems.length} problems in the input`, ...shown, ...more].join("\n"))}\n`;
}

/** The pointer, the fault and its limit, none of them twice. */
function wordFieldProblem({ pointer, detail, limit }: FieldProblem): string {
  const name = detail.includes(pointer) ? "" : /^(?:is|has) /.test(detail) ? `${pointer} ` : `${pointer}: `;
  const range = limit === undefined || detail.includes(String(limit)) ? "" : ` (allowed: ${limit})`;
  return `${name}${detail}${range}`;
}
