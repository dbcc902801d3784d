import { stat } from "node:fs/promises";
import { createPremisesFile, type PremisesPoints, type PremisesWriter } from "@fellmark/ledger";
import { type FellmarkError, InputError } from "@fellmark/units";
import Flatbush from "flatbush";
import { type ColumnMap, listed } from "../read/columns.ts";
import { openTable } from "../read/open-table.ts";
import type { RowFault } from "../read/rejection.ts";
import type { TableRow } from "../read/table.ts";
import { createRejections, type ImportReport, type Rejections } from "./report.ts";
import { createRowReader, type RowOptions, type RowReader } from "./row-reader.ts";

/** More rows than this are not premises of a small provider. */
export const MAX_PREMISES_ROWS = 2_000_000;

export interface ImportOptions extends RowOptions {
  /** Of CSV; absent: found by looking. */
  delimiter?: string | undefined;
  /** Keep premises that the file does not have; else the file is the whole list. */
  keepOthers?: boolean;
  onProgress?: (share: number) => void;
  signal?: AbortSignal;
}

/** Share of the progress that belongs to reading; the rest is indexing. */
const READ_SHARE = 0.7;

/**
 * Makes the rows of a CSV or GeoJSON file the tenant's list of premises, whole or not at all; rows that are at fault are
 * left out and reported. Throws InputError for a file without a single good row, as it would empty the list.
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
    if (taken.imported === 0) throw noGoodRow(taken.rejections);
    if (options.keepOthers === true) writer.keepOthers();
    const premises = await writer.publish(pointIndexOf);
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
      findings: [...findingsOf(taken), ...unusedColumns(table.columns, reader.columns, taken.rows)],
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
    taken.rejections.add(row.row, duplicateOf(read.record.id, reader.columns.id));
  }
}

function duplicateOf(id: string, column = ""): RowFault {
  const detail = `another row has the id ${JSON.stringify(id)}, or the same address and point`;
  return { column, reason: "duplicate", detail, suggestion: "leave one of them out" };
}

function noGoodRow(rejections: Rejections): FellmarkError {
  const first = rejections.listed().slice(0, 10);
  const problems = first.map(({ row, column, detail, suggestion }) => {
    return { pointer: `/file/row/${row}`, detail: [column, `${detail}; ${suggestion}`].filter(Boolean).join(": ") };
  });
  const none = { pointer: "/file", detail: "no row of the file could be taken; the list stays as it was" };
  return new InputError([none, ...problems], "no_good_row");
}

function findingsOf({ qualityUnknown, outside }: Taken): ImportReport["findings"] {
  const findings = [
    {
      code: "unknown_quality",
      rows: qualityUnknown,
      detail: "the quality of the point is in words that are not known, and was taken as not stated",
    },
    { code: "outside_area", rows: outside, detail: "the point is not where points are expected" },
  ];
  return findings.filter(({ rows }) => rows > 0);
}

/** Columns whose content went nowhere: a house number lost that way would be missed only when an address is asked for. */
function unusedColumns(columns: readonly string[], map: ColumnMap, rows: number): ImportReport["findings"] {
  const used = Object.values(map);
  const unused = columns.filter((column) => !used.includes(column));
  if (unused.length === 0) return [];
  return [{ code: "unused_columns", rows, detail: `not read, unless a map names them; ${listed(unused)}` }];
}

/** Longitudes and latitudes as boxes without extent; box i is the premises at position i. */
function pointIndexOf({ lon, lat }: PremisesPoints): Uint8Array {
  const index = new Flatbush(lon.length);
  for (let position = 0; position < lon.length; position++) {
    index.add(lon[position], lat[position], lon[position], lat[position]);
  }
  index.finish();
  return new Uint8Array(index.data);
}
