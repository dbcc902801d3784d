import type { BenchOutput, BenchResult } from "./report.ts";

/** One line a result: what was measured, the target, the peer and the check of correctness. */
export function reportTable({ results, skipped }: BenchOutput): string {
  const rows = results.map((result) => [
    result.id,
    measured(result),
    result.target === undefined ? "" : `target ${result.target} ${result.targetUnit ?? result.unit}`,
    result.pass ? "ok" : "MISSED",
    result.peer ? `${result.peer.ratio.toFixed(2)}x ${result.peer.name} (target ${result.peer.ratioTarget}x)` : "",
    result.check ? `${result.check.what}: ${short(result.check.value)} of ${short(result.check.limit)}` : "",
  ]);
  const widths = rows[0]?.map((_, column) => Math.max(...rows.map((row) => row[column].length))) ?? [];
  const lines = rows.map((row) =>
    row
      .map((cell, column) => cell.padEnd(widths[column]))
      .join("  ")
      .trimEnd(),
  );
  return [...lines, ...skipped.map(({ id, reason }) => `skipped ${id}: ${reason}`)].join("\n");
}

function measured({ value, unit, n, min, max, perCellNs }: BenchResult): string {
  const perCell = perCellNs === undefined ? "" : ` = ${perCellNs.toFixed(0)} ns a cell`;
  return `${short(value)} ${unit}${perCell} (median of ${n}, ${short(min)}..${short(max)})`;
}

function short(value: number): string {
  return Number(value.toPrecision(3)).toString();
}
