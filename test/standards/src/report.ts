/** One value compared. `file` is the file, or the folder whose files share one form. */
export interface Check {
  file: string;
  quantity: string;
  id: string;
  expected: number;
  got: number;
  tolerance: number;
}

/** Rows that were read but not compared, and why. */
export interface NotChecked {
  file: string;
  quantity: string;
  n: number;
  reason: string;
}

export type Outcome = Check | NotChecked;

export interface CheckTable {
  file: string;
  quantity: string;
  n: number;
  failed: number;
  worst: { id: string; expected: number; got: number; abs: number; tolerance: number };
}

export interface StandardsReport {
  version: 1;
  ok: boolean;
  tables: CheckTable[];
  notChecked: NotChecked[];
}

/** Tables by file and quantity. Good only where something was checked and nothing failed. */
export function standardsReport(outcomes: Iterable<Outcome>): StandardsReport {
  const tables = new Map<string, CheckTable>();
  const notChecked = new Map<string, NotChecked>();
  for (const outcome of outcomes) {
    if ("reason" in outcome) addNotChecked(notChecked, outcome);
    else addCheck(tables, outcome);
  }
  const rows = [...tables.values()];
  const ok = rows.length > 0 && rows.every((table) => table.failed === 0);
  return { version: 1, ok, tables: rows, notChecked: [...notChecked.values()] };
}

function addCheck(tables: Map<string, CheckTable>, check: Check): void {
  const { file, quantity, ...values } = check;
  const abs = Math.abs(check.got - check.expected);
  const isWithin = abs <= check.tolerance;
  const key = JSON.stringify([file, quantity]);
  const table = tables.get(key) ?? { file, quantity, n: 0, failed: 0, worst: { ...values, abs } };
  const isWorse = severity(abs, check.tolerance) > severity(table.worst.abs, table.worst.tolerance);
  if (isWorse) table.worst = { ...values, abs };
  table.n += 1;
  if (!isWithin) table.failed += 1;
  tables.set(key, table);
}

/** Difference in units of what is allowed; a value that is no number is worse than any. */
function severity(abs: number, tolerance: number): number {
  if (abs === 0) return 0;
  return Number.isNaN(abs) ? Infinity : abs / tolerance;
}

function addNotChecked(notes: Map<string, NotChecked>, note: NotChecked): void {
  const key = JSON.stringify([note.file, note.quantity, note.reason]);
  const known = notes.get(key);
  if (known) known.n += note.n;
  else notes.set(key, { ...note });
}

/** The report as lines for a reader. */
export function standardsLines(report: StandardsReport): string[] {
  const line = (cells: readonly string[]) =>
    `${cells[0].padEnd(40)} ${cells[1].padEnd(58)} ${cells
      .slice(2)
      .map((cell) => cell.padStart(8))
      .join(" ")}`;
  const size = (value: number) => value.toExponential(1);
  const rows = report.tables.map(({ file, quantity, n, failed, worst }) =>
    line([file, quantity, String(n), String(failed), size(worst.abs), size(worst.tolerance)]),
  );
  const notes = report.notChecked.map(({ file, quantity, n, reason }) => `${file}: ${quantity} (${n}): ${reason}`);
  const total = report.tables.reduce((sum, table) => sum + table.n, 0);
  const failed = report.tables.reduce((sum, table) => sum + table.failed, 0);
  const verdict = `${total} values checked, ${failed} failed: ${report.ok ? "ok" : "not ok"}`;
  const head = line(["file", "quantity", "n", "failed", "worst", "allowed"]);
  return [head, ...rows, "", "not checked:", ...notes, "", verdict];
}
