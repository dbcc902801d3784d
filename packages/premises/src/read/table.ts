import type { RowFault } from "./rejection.ts";

/** One record of a file: cells in the order of the table's columns, or why it could not be read. */
export interface TableRow {
  row: number;
  cells: string[];
  fault?: RowFault;
}

/** A file as rows of text, whatever its format. */
export interface Table {
  format: TableFormat;
  columns: string[];
  /** EPSG code of the system in which the file says its points are. */
  declaredCrs?: number;
  /** Batches of rows, in order. Throws InputError when the file turns out unreadable. */
  rows: AsyncIterable<TableRow[]>;
}

export interface TableFormat {
  kind: "csv" | "geojson";
  encoding: "utf-8" | "utf-8 with byte order mark";
  /** Of CSV. */
  delimiter?: string;
}

/** Longest record of a file, in characters: beyond it a quote was left open, or it is no such file. */
export const MAX_RECORD_CHARS = 1_000_000;
