import { type CsvForm, createCsvReader } from "./csv-reader.ts";
import { createFeatureReader, type Feature } from "./feature-reader.ts";
import { createUnreadableError, type FileHead, readHead, readText, type TextEncoding } from "./file-text.ts";
import type { RowFault } from "./rejection.ts";
import { MAX_COLUMNS, type Table, type TableRow } from "./table.ts";

const DELIMITERS = [",", ";", "\t", "|"] as const;

/** Columns of GeoJSON that are not properties. */
const GEOMETRY_LON = "geometry.lon";
const GEOMETRY_LAT = "geometry.lat";
const FEATURE_ID = "feature.id";

/** Beginning of GeoJSON; features in a sequence may begin with a record separator. */
const BEGINS_JSON: ReadonlySet<string> = new Set(["{", "[", "\u001e"]);

/** Number of records of the head that judge a delimiter. */
const JUDGED_RECORDS = 20;

export interface OpenTableOptions {
  /** Delimiter of CSV; absent: detected. */
  delimiter?: string | undefined;
}

/**
 * Opens a CSV or GeoJSON file as a table of text with its columns; reads it in pieces.
 * Throws InputError 'unreadable_file' for one that is empty, binary, of another encoding or format.
 */
export async function openTable(path: string, options: OpenTableOptions = {}): Promise<Table> {
  const head = await readHead(path);
  const { encoding } = head;
  if (BEGINS_JSON.has(head.text.trimStart()[0])) {
    const columns = listFeatureColumns(head);
    const rows = readFeatureRows(path, head, columns);
    return { format: { kind: "geojson", encoding }, columns, rows, ...findDeclaredCrs(head.text) };
  }
  const form = findCsvForm(head, options.delimiter);
  const columns = readHeader(head, form);
  return {
    format: { kind: "csv", encoding, delimiter: form.delimiter },
    columns,
    rows: readCsvRows({ path, encoding }, form, columns),
  };
}

/** A file of text. */
interface TextFile {
  path: string;
  encoding: TextEncoding;
}

function findCsvForm(head: FileHead, delimiter: string | undefined): CsvForm {
  const newline = head.text.includes("\n") || !head.text.includes("\r") ? ("\n" as const) : ("\r" as const);
  if (delimiter !== undefined) {
    if (delimiter.length !== 1 || /["\r\n]/.test(delimiter))
      throw createUnreadableError("cannot be split by that delimiter");
    return { delimiter, newline };
  }
  const scores = DELIMITERS.map((candidate) => computeScore(head, { delimiter: candidate, newline }));
  return { delimiter: DELIMITERS[scores.indexOf(Math.max(...scores))], newline };
}

/** Returns a score: more cells in the header are better if the records below have as many. */
function computeScore(head: FileHead, form: CsvForm): number {
  const [header, ...records] = parseHeadRecords(head, form).slice(0, JUDGED_RECORDS);
  if (!header || header.cells.length === 1) return 0;
  const alike = records.filter(({ cells }) => cells.length === header.cells.length).length;
  return header.cells.length * (1 + alike);
}

/** Returns the complete records of the head; a head that ends within a quote has fewer. */
function parseHeadRecords({ text, isWhole }: FileHead, form: CsvForm): TableRow[] {
  const reader = createCsvReader(form);
  const records = reader.push(text);
  if (!isWhole) return records;
  try {
    return records.concat(reader.end());
  } catch {
    return records;
  }
}

function readHeader(head: FileHead, form: CsvForm): string[] {
  const header = parseHeadRecords(head, form)[0];
  if (!header) throw createUnreadableError("has no header: its first line must name the columns");
  const columns = header.cells.map((name) => name.trim());
  if (columns.length > MAX_COLUMNS)
    throw createUnreadableError(`names ${columns.length} columns in its header, more than ${MAX_COLUMNS}`);
  const twice = columns.find((name, index) => name !== "" && columns.indexOf(name) !== index);
  if (twice !== undefined) throw createUnreadableError(`names the column ${JSON.stringify(twice.slice(0, 80))} twice`);
  return columns;
}

async function* readCsvRows(file: TextFile, form: CsvForm, columns: string[]): AsyncGenerator<TableRow[]> {
  const reader = createCsvReader(form);
  let isHeaderNext = true;
  for await (const text of appendEnd(readText(file.path, file.encoding))) {
    const rows = text === undefined ? reader.end() : reader.push(text);
    const below = isHeaderNext ? rows.slice(1) : rows;
    if (rows.length > 0) isHeaderNext = false;
    for (const row of below) {
      if (row.cells.length !== columns.length) row.fault ??= toCellCountFault(row, columns, form);
      else if (isHeader(row, columns)) row.fault ??= REPEATED_HEADER;
    }
    yield below;
  }
}

const REPEATED_HEADER: RowFault = {
  column: "",
  reason: "repeated_header",
  detail: "names the columns again",
  suggestion: "leave out the header of a second table, and give a table with other columns a file of its own",
};

function isHeader({ cells }: TableRow, columns: readonly string[]): boolean {
  return cells.every((cell, index) => cell.trim().toLowerCase() === columns[index].toLowerCase());
}

function toCellCountFault({ cells }: TableRow, columns: string[], { delimiter }: CsvForm): RowFault {
  return {
    column: "",
    reason: "cell_count",
    detail: `has ${cells.length} cells, the header ${columns.length}`,
    suggestion: `put cells that hold ${JSON.stringify(delimiter)} in double quotes`,
  };
}

/** Yields all pieces, then undefined. */
async function* appendEnd(pieces: AsyncIterable<string>): AsyncGenerator<string | undefined> {
  yield* pieces;
  yield undefined;
}

/** Returns every property that occurs in the head. */
function listFeatureColumns({ text }: FileHead): string[] {
  const names = new Set<string>();
  for (const feature of createFeatureReader(text).push(text)) {
    for (const name of Object.keys(feature.properties ?? {})) names.add(name);
  }
  return [...names, FEATURE_ID, GEOMETRY_LON, GEOMETRY_LAT];
}

async function* readFeatureRows(
  path: string,
  { text: head, encoding }: FileHead,
  columns: string[],
): AsyncGenerator<TableRow[]> {
  const reader = createFeatureReader(head);
  const properties = columns.slice(0, -3);
  let row = 0;
  for await (const text of readText(path, encoding))
    yield reader.push(text).map((feature) => toRow(feature, properties, ++row));
  reader.end();
}

function toRow(feature: Feature, properties: string[], row: number): TableRow {
  if (feature.type !== "Feature") return { row, cells: [], fault: toNotAPointFault("is not a Feature") };
  const { geometry } = feature;
  const cells = properties.map((name) => toText(feature.properties?.[name]));
  cells.push(toText(feature.id));
  if (!geometry) return { row, cells: [...cells, "", ""] };
  const isPoint = geometry.type === "Point" && Array.isArray(geometry.coordinates);
  if (!isPoint)
    return {
      row,
      cells,
      fault: toNotAPointFault(`has a geometry of another kind: ${String(geometry.type).slice(0, 40)}`),
    };
  const [lon, lat] = geometry.coordinates as unknown[];
  return { row, cells: [...cells, toText(lon), toText(lat)] };
}

function toNotAPointFault(detail: string): RowFault {
  return { column: "geometry", reason: "not_a_point", detail, suggestion: "give each address one Point" };
}

function toText(value: unknown): string {
  if (value === undefined || value === null) return "";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

/** Returns the system that GeoJSON before RFC 7946 could name. Source: GeoJSON 1.0 (2008), section 3. */
function findDeclaredCrs(head: string): { declaredCrs?: number } {
  const code = /"crs"\s*:\s*\{[^}]*EPSG:+(\d+)/.exec(head)?.[1];
  return code === undefined ? {} : { declaredCrs: Number(code) };
}
