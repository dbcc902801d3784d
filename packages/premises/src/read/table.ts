import type { TextEncoding } from "./file-text.ts";
import type { RowFault } from "./rejection.ts";

/** One record of a file: cells in the order of the table's columns, or its fault. */
export interface TableRow {
  row: number;
  cells: string[];
  fault?: RowFault;
}

/** A file of any format as rows of text. */
export interface Table {
  format: TableFormat;
  columns: string[];
  /** EPSG code of the system that the file declares for its points. */
  declaredCrs?: number;
  /** Batches of rows, in order. Throws InputError when the file turns out unreadable. */
  rows: AsyncIterable<TableRow[]>;
}

export interface TableFormat {
  kind: "csv" | "geojson";
  encoding: TextEncoding;
  /** Delimiter of CSV. */
  delimiter?: string;
}

/** Most columns of a CSV: more are a sheet of another kind. */
export const MAX_COLUMNS = 200;

/** Longest record of a file, in characters: a longer one has an unclosed quote or is not a table. */
export const MAX_RECORD_CHARS = 1_000_000;
