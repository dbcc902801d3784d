import type { AccuracyReport, GroupCalibration } from "./accuracy-report.ts";
import type { ErrorStatistics } from "./error-statistics.ts";

/** The report as lines for a reader. */
export function accuracyLines(report: AccuracyReport): string[] {
  const rows = report.models.map((row) => line([row.model, row.group, ...figures(row)]));
  const squares = report.calibrations.flatMap(({ group, bySquares }) =>
    bySquares ? [line([`by squares of ${bySquares.blockM} m`, group, ...figures(bySquares)])] : [],
  );
  const head = line(["model", "group", "n", "mean", "std", "rmse", "p90 abs"]);
  return [
    "error = predicted - measured, dB; calibrated: each link left out of its own calibration",
    head,
    ...rows,
    ...squares,
    ...report.calibrations.map(calibrationLine),
    ...report.calibrations.flatMap(({ rejected }) =>
      rejected.map(({ id, reason }) => `taught nothing: ${id}: ${reason}`),
    ),
    ...skippedLines(report),
  ];
}

function figures({ n, meanDb, stdDb, rmseDb, p90AbsDb }: ErrorStatistics): string[] {
  return [String(n), ...[meanDb, stdDb, rmseDb, p90AbsDb].map((db) => db.toFixed(2))];
}

function line(cells: readonly string[]): string {
  return cells.map((cell, i) => (i === 0 ? cell.padEnd(22) : i === 1 ? cell.padEnd(14) : cell.padStart(8))).join("");
}

function calibrationLine({ group, version, applied, reason, forcedRmseDb, bySquares }: GroupCalibration): string {
  const forced = forcedRmseDb === null ? "" : `; rmse of left-out links if it were: ${forcedRmseDb.toFixed(2)}`;
  const squares = bySquares === null ? "; no squares to leave out" : "";
  const verdict = applied ? "applied" : "not applied";
  return `calibration ${version} of ${group} ${verdict}: ${reason}${applied ? "" : forced}${squares}`;
}

function skippedLines({ skipped }: AccuracyReport): string[] {
  const reasons = skipped.map(({ model, reason }) => `${model}: ${reason}`);
  return [...new Set(reasons)].map(
    (reason) => `skipped ${reasons.filter((other) => other === reason).length} links with ${reason}`,
  );
}
