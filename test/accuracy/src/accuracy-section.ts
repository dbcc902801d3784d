import type { AccuracyReport, GroupCalibration } from "./accuracy-report.ts";
import type { ErrorStatistics } from "./error-statistics.ts";

const START = "<!-- accuracy -->";
const END = "<!-- /accuracy -->";

/** The models as a planner would name them. */
const ROWS = [
  ["free-space", "free space"],
  ["delta-bullington", "terrain alone"],
  ["path-clutter", "terrain and clutter: the default"],
  ["p1812", "complete P.1812-6"],
  ["calibrated", "the default, calibrated on its other links"],
] as const;

/** What others reach, as their abstracts say. */
const LITERATURE =
  "In the literature the best of 30 models reach 12 to 15 dB, fitted ones 8 to 9 (Phillips, Sicker, Grunwald, IJAP 2012, " +
  "754158); on fixed rural links no tuning of 28 models came under 12 dB (Phillips et al., PAM 2011).";

/** The section of docs/accuracy.md between its marks, both included: the table, then notes. */
export function writeSection(report: AccuracyReport): string {
  const groups = [...new Set(report.models.map(({ group }) => group))];
  const head = [
    "predicted less measured loss, dB: mean, std, RMSE, 90 % within",
    ...groups.map((name) => of(report, name)),
  ];
  const rows = ROWS.map(([model, name]) => [name, ...groups.map((group) => cell(report, model, group))]);
  const squares = report.calibrations.flatMap(({ group, bySquares }) => (bySquares ? [{ group, bySquares }] : []));
  const bySquares = squares.length === 0 ? [] : [squaresRow(groups, squares)];
  const notes = wrapped([...report.calibrations.flatMap(calibrationNote), LITERATURE].join(" "));
  return [START, ...table([head, ...rows, ...bySquares]), "", ...notes, END].join("\n");
}

function of({ models }: AccuracyReport, group: string): string {
  return `${Math.max(...models.filter((row) => row.group === group).map(({ n }) => n))} ${group} links`;
}

function cell({ models }: AccuracyReport, model: string, group: string): string {
  const inGroup = models.filter((row) => row.group === group);
  const row = inGroup.find((one) => one.model === model);
  if (!row) return "none predicted";
  const isPart = row.n < Math.max(...inGroup.map(({ n }) => n));
  return `${figures(row)}${isPart ? ` (${row.n} links)` : ""}`;
}

function figures({ meanDb, stdDb, rmseDb, p90AbsDb }: ErrorStatistics): string {
  return [meanDb, stdDb, rmseDb, p90AbsDb].map((db) => db.toFixed(1)).join(", ");
}

type Squares = { group: string; bySquares: NonNullable<GroupCalibration["bySquares"]> };

function squaresRow(groups: readonly string[], squares: readonly Squares[]): string[] {
  const found = (group: string) => squares.find((one) => one.group === group);
  const [{ bySquares }] = squares;
  return [
    `same, calibrated outside its square of ${bySquares.blockM / 1000} km`,
    ...groups.map((group) => (found(group) ? figures((found(group) as Squares).bySquares) : "too few squares")),
  ];
}

function calibrationNote({ group, applied, reason, forcedRmseDb }: GroupCalibration): string[] {
  if (forcedRmseDb === null) return [];
  const verdict = applied ? "applied" : `not applied (it would give ${forcedRmseDb.toFixed(1)} dB)`;
  return [`On the ${group} links the calibration is ${verdict}: ${reason}.`];
}

function table(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  const line = (row: readonly string[]) => `| ${row.map((text, column) => text.padEnd(widths[column])).join(" | ")} |`;
  const rule = `| ${widths.map((width) => "-".repeat(width)).join(" | ")} |`;
  const [head, ...body] = rows.map(line);
  return [head, rule, ...body];
}

function wrapped(text: string, width = 120): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= width) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** The section as it stands in a document, marks included; null where there is none. */
export function sectionOf(document: string): string | null {
  const [start, end] = [document.indexOf(START), document.indexOf(END)];
  return start === -1 || end < start ? null : document.slice(start, end + END.length);
}
