import type { ImportReport } from "@fellmark/premises";

/** Rejected rows that the terminal shows; --json has the first thousand. */
const SHOWN_ROWS = 20;

/** Formats an import: what the list gained and lost, the columns read, the rows left out with their reasons. */
export function formatImport(report: ImportReport): string {
  const { rows, imported, rejected, byReason, rejectedRows, findings, map, premises } = report;
  const { count, added, changed, same, removed } = premises;
  const shown = rejectedRows.slice(0, SHOWN_ROWS).map(({ row, column, reason, detail, suggestion }) => {
    return `  row ${row} ${column}: ${reason}: ${detail}; ${suggestion}`;
  });
  const reasons = Object.entries(byReason).map(([reason, times]) => `${times} ${reason}`);
  const columns = Object.entries(map).map((pair) => pair.join("="));
  return [
    `${imported} of ${rows} rows taken; the list has ${count}: ${added} added, ${changed} changed, ${same} same, ${removed} removed`,
    `columns: ${columns.join(", ")}`,
    ...findings.map(({ rows: times, detail }) => `${times} rows: ${detail}`),
    ...(rejected > 0 ? [`${rejected} rows left out: ${reasons.join(", ")}`, ...shown] : []),
    ...(rejected > shown.length ? [`  and ${rejected - shown.length} more`] : []),
  ].join("\n");
}
