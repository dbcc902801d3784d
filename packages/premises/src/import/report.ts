import type { PremisesChange, PremisesState } from "@fellmark/ledger";
import type { ColumnMap } from "../read/columns.ts";
import type { RejectedRow, RowFault } from "../read/rejection.ts";
import type { TableFormat } from "../read/table.ts";

/** Rejected rows that a report lists; all are counted. */
const MAX_LISTED = 1000;

/** Result of an import. */
export interface ImportReport {
  version: 1;
  file: TableFormat & { columns: string[] };
  /** Column of each role, named by the caller or found by its name. */
  map: ColumnMap;
  rows: number;
  imported: number;
  rejected: number;
  /** Rejected rows by the kind of fault. */
  byReason: Record<string, number>;
  /** The first rejected rows. */
  rejectedRows: RejectedRow[];
  /** Imported rows that somebody should check. */
  findings: { code: string; rows: number; detail: string }[];
  /** State of the list, and the changes by the file. */
  premises: PremisesState & PremisesChange;
}

/** Counts and lists rejected rows. */
export interface Rejections {
  add(row: number, fault: RowFault): void;
  count(): number;
  byReason(): Record<string, number>;
  listed(): RejectedRow[];
}

export function createRejections(): Rejections {
  const counts = new Map<string, number>();
  const rows: RejectedRow[] = [];
  let count = 0;
  return {
    add(row, fault) {
      count++;
      counts.set(fault.reason, (counts.get(fault.reason) ?? 0) + 1);
      if (rows.length < MAX_LISTED) rows.push({ row, ...fault });
    },
    count: () => count,
    byReason: () => Object.fromEntries([...counts].sort(([a], [b]) => (a < b ? -1 : 1))),
    listed: () => rows,
  };
}
