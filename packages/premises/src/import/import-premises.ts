import { stat } from "node:fs/promises";
import { createPremisesFile, type PremisesPoints, type PremisesWriter } from "@fellmark/ledger";
import { type FellmarkError, InputError } from "@fellmark/units";
import Flatbush from "flatbush";
import { type ColumnMap, listNames } from "../read/columns.ts";
import { createUnreadableError } from "../read/file-text.ts";
import { openTable } from "../read/open-table.ts";
import type { RowFault } from "../read/rejection.ts";
import type { TableRow } from "../read/table.ts";
import { createRejections, type ImportReport, type Rejections } from "./report.ts";
import { createRowReader, type RowOptions, type RowReader } from "./row-reader.ts";

/** Limit of rows of a file. */
const MAX_PREMISES_ROWS = 2_000_000;

export interface ImportOptions extends RowOptions {
  /** Delimiter of CSV; absent: detected. */
  delimiter?: string | undefined;
  /** True: keep premises that the file does not contain; otherwise the file is the whole list. */
  keepOthers?: boolean;
  onProgress?: (share: number) => void;
  signal?: AbortSignal;
}

/** Share of reading in the progress; the rest is indexing. */
const READ_SHARE = 0.7;

/**
 * Imports the rows of a CSV or GeoJSON file as the tenant's list of premises, completely or not at all; faulty rows are
 * left out and reported. Throws InputError for a file without a single good row, which would empty the list.
 */
export async function importPremises(
  list: { dir: string; tenant: string },
  file: string,
  options: ImportOptions,
): Promise<ImportReport> {
  const table = await openTable(file, options);
  const reader = createRowReader(table, options);
  const writer = await createPremisesFile(list.dir, list.tenant);
  try {
    const taken = await takeRows({ rows: table.rows, reader, writer, file, options });
    if (taken.rows === 0) throw createUnreadableError("has no row below its header; the list is unchanged");
    if (taken.imported === 0) throw createNoGoodRowError(taken.rejections);
    if (options.keepOthers === true) writer.keepOthers();
    const premises = await writer.publish(buildPointIndex);
    options.onProgress?.(1);
    return {
      version: 1,
      file: { ...table.format, columns: table.columns },
      map: reader.columns,
      rows: taken.rows,
      imported: taken.imported,
      rejected: taken.rejections.count(),
      byReason: taken.rejections.byReason(),
      rejectedRows: taken.rejections.listed(),
      findings: [...listFindings(taken), ...findUnusedColumns(table.columns, reader.columns, taken.rows)],
      premises,
    };
  } finally {
    await writer.discard();
  }
}

interface Taken {
  rows: number;
  imported: number;
  qualityUnknown: number;
  outside: number;
  rejections: Rejections;
}

interface Taking {
  rows: AsyncIterable<TableRow[]>;
  reader: RowReader;
  writer: PremisesWriter;
  file: string;
  options: ImportOptions;
}

async function takeRows({ rows, reader, writer, file, options }: Taking): Promise<Taken> {
  const taken: Taken = { rows: 0, imported: 0, qualityUnknown: 0, outside: 0, rejections: createRejections() };
  const { size } = await stat(file);
  let chars = 0;
  for await (const batch of rows) {
    options.signal?.throwIfAborted();
    for (const row of batch) {
      taken.rows++;
      for (const cell of row.cells) chars += cell.length + 1;
      takeRow(row, { reader, writer, taken });
    }
    if (taken.rows > MAX_PREMISES_ROWS) {
      throw new InputError([{ pointer: "/file", detail: "the file has too many rows", limit: MAX_PREMISES_ROWS }]);
    }
    options.onProgress?.(READ_SHARE * Math.min(1, chars / size));
  }
  return taken;
}

function takeRow(row: TableRow, { reader, writer, taken }: Pick<Taking, "reader" | "writer"> & { taken: Taken }): void {
  const read = reader.read(row);
  if ("fault" in read) {
    taken.rejections.add(row.row, read.fault);
  } else if (writer.add(read.record)) {
    taken.imported++;
    if (read.findings.isQualityUnknown) taken.qualityUnknown++;
    if (read.findings.isOutside) taken.outside++;
  } else {
    taken.rejections.add(row.row, toDuplicateFault(read.record.id, reader.columns.id));
  }
}

function toDuplicateFault(id: string, column = ""): RowFault {
  const detail = `another row has the id ${JSON.stringify(id)}, or the same address and point`;
  return { column, reason: "duplicate", detail, suggestion: "leave one of them out" };
}

function createNoGoodRowError(rejections: Rejections): FellmarkError {
  const first = rejections.listed().slice(0, 10);
  const problems = first.map(({ row, column, detail, suggestion }) => {
    return { pointer: `/file/row/${row}`, detail: [column, `${detail}; ${suggestion}`].filter(Boolean).join(": ") };
  });
  const none = { pointer: "/file", detail: "no row of the file could be imported; the list is unchanged" };
  return new InputError([none, ...problems], "no_good_row");
}

function listFindings({ qualityUnknown, outside }: Taken): ImportReport["findings"] {
  const findings = [
    {
      code: "unknown_quality",
      rows: qualityUnknown,
      detail: "the quality of the point is not a known word; it counts as not stated",
    },
    { code: "outside_area", rows: outside, detail: "the point is outside the expected area" },
  ];
  return findings.filter(({ rows }) => rows > 0);
}

/** Returns a finding for unused columns: a house number lost in one would be noticed only in a later search. */
function findUnusedColumns(columns: readonly string[], map: ColumnMap, rows: number): ImportReport["findings"] {
  const used = Object.values(map);
  const unused = columns.filter((column) => !used.includes(column));
  if (unused.length === 0) return [];
  return [{ code: "unused_columns", rows, detail: `not read, unless a map names them; ${listNames(unused)}` }];
}

/** Returns an index of longitudes and latitudes as boxes without extent; box i is the premises at position i. */
function buildPointIndex({ lon, lat }: PremisesPoints): Uint8Array {
  const index = new Flatbush(lon.length);
  for (let position = 0; position < lon.length; position++) {
    index.add(lon[position], lat[position], lon[position], lat[position]);
  }
  index.finish();
  return new Uint8Array(index.data);
}
