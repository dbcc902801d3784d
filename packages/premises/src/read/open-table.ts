import { type CsvForm, createCsvReader } from "./csv-reader.ts";
import { createFeatureReader, type Feature } from "./feature-reader.ts";
import { type FileHead, readHead, textOf, unreadable } from "./file-text.ts";
import type { RowFault } from "./rejection.ts";
import type { Table, TableRow } from "./table.ts";

const DELIMITERS = [",", ";", "\t", "|"] as const;

/** Columns of GeoJSON that are not properties. */
const GEOMETRY_LON = "geometry.lon";
const GEOMETRY_LAT = "geometry.lat";
const FEATURE_ID = "feature.id";

/** How GeoJSON begins; features in a sequence may begin with a record separator. */
const BEGINS_JSON: ReadonlySet<string> = new Set(["{", "[", "\u001e"]);

/** Records of the head by which a delimiter is judged. */
const JUDGED_RECORDS = 20;

export interface OpenTableOptions {
  /** Of CSV; absent: found by looking. */
  delimiter?: string | undefined;
}

/**
 * Opens a CSV or GeoJSON file as a table of text, and says which columns it has; reads it in pieces.
 * Throws InputError 'unreadable_file' for one that is empty, binary, not UTF-8 or of another format.
 */
export async function openTable(path: string, options: OpenTableOptions = {}): Promise<Table> {
  const head = await readHead(path);
  const encoding = head.hasByteOrderMark ? ("utf-8 with byte order mark" as const) : ("utf-8" as const);
  if (BEGINS_JSON.has(head.text.trimStart()[0])) {
    const columns = columnsOfFeatures(head);
    const rows = featureRows(path, head.text, columns);
    return { format: { kind: "geojson", encoding }, columns, rows, ...declaredCrs(head.text) };
  }
  const form = csvForm(head, options.delimiter);
  const columns = headerOf(head, form);
  return { format: { kind: "csv", encoding, delimiter: form.delimiter }, columns, rows: csvRows(path, form, columns) };
}

function csvForm(head: FileHead, delimiter: string | undefined): CsvForm {
  const newline = head.text.includes("\n") || !head.text.includes("\r") ? ("\n" as const) : ("\r" as const);
  if (delimiter !== undefined) {
    if (delimiter.length !== 1 || /["\r\n]/.test(delimiter)) throw unreadable("cannot be split by that delimiter");
    return { delimiter, newline };
  }
  const scores = DELIMITERS.map((candidate) => scoreOf(head, { delimiter: candidate, newline }));
  return { delimiter: DELIMITERS[scores.indexOf(Math.max(...scores))], newline };
}

/** More cells in the header are better, if the records below have as many. */
function scoreOf(head: FileHead, form: CsvForm): number {
  const [header, ...records] = recordsOfHead(head, form).slice(0, JUDGED_RECORDS);
  if (!header || header.cells.length === 1) return 0;
  const alike = records.filter(({ cells }) => cells.length === header.cells.length).length;
  return header.cells.length * (1 + alike);
}

/** The complete records of the head. A head that ends within a quote has fewer. */
function recordsOfHead({ text, isWhole }: FileHead, form: CsvForm): TableRow[] {
  const reader = createCsvReader(form);
  const records = reader.push(text);
  if (!isWhole) return records;
  try {
    return records.concat(reader.end());
  } catch {
    return records;
  }
}

function headerOf(head: FileHead, form: CsvForm): string[] {
  const header = recordsOfHead(head, form)[0];
  if (!header) throw unreadable("has no header: its first line must name the columns");
  const columns = header.cells.map((name) => name.trim());
  const twice = columns.find((name, index) => name !== "" && columns.indexOf(name) !== index);
  if (twice !== undefined) throw unreadable(`names the column ${JSON.stringify(twice.slice(0, 80))} twice`);
  return columns;
}

async function* csvRows(path: string, form: CsvForm, columns: string[]): AsyncGenerator<TableRow[]> {
  const reader = createCsvReader(form);
  let isHeaderNext = true;
  for await (const text of withEnd(textOf(path))) {
    const rows = text === undefined ? reader.end() : reader.push(text);
    const below = isHeaderNext ? rows.slice(1) : rows;
    if (rows.length > 0) isHeaderNext = false;
    for (const row of below) if (row.cells.length !== columns.length) row.fault ??= cellCount(row, columns, form);
    yield below;
  }
}

function cellCount({ cells }: TableRow, columns: string[], { delimiter }: CsvForm): RowFault {
  return {
    column: "",
    reason: "cell_count",
    detail: `has ${cells.length} cells, the header ${columns.length}`,
    suggestion: `put cells that hold ${JSON.stringify(delimiter)} in double quotes`,
  };
}

/** All pieces, and undefined behind the last. */
async function* withEnd(pieces: AsyncIterable<string>): AsyncGenerator<string | undefined> {
  yield* pieces;
  yield undefined;
}

/** Every property that occurs in the head. */
function columnsOfFeatures({ text }: FileHead): string[] {
  const names = new Set<string>();
  for (const feature of createFeatureReader(text).push(text)) {
    for (const name of Object.keys(feature.properties ?? {})) names.add(name);
  }
  return [...names, FEATURE_ID, GEOMETRY_LON, GEOMETRY_LAT];
}

async function* featureRows(path: string, head: string, columns: string[]): AsyncGenerator<TableRow[]> {
  const reader = createFeatureReader(head);
  const properties = columns.slice(0, -3);
  let row = 0;
  for await (const text of textOf(path)) yield reader.push(text).map((feature) => rowOf(feature, properties, ++row));
  reader.end();
}

function rowOf(feature: Feature, properties: string[], row: number): TableRow {
  if (feature.type !== "Feature") return { row, cells: [], fault: notAPoint("is no Feature") };
  const { geometry } = feature;
  const cells = properties.map((name) => textOfValue(feature.properties?.[name]));
  cells.push(textOfValue(feature.id));
  if (!geometry) return { row, cells: [...cells, "", ""] };
  const isPoint = geometry.type === "Point" && Array.isArray(geometry.coordinates);
  if (!isPoint)
    return { row, cells, fault: notAPoint(`has a geometry of another kind: ${String(geometry.type).slice(0, 40)}`) };
  const [lon, lat] = geometry.coordinates as unknown[];
  return { row, cells: [...cells, textOfValue(lon), textOfValue(lat)] };
}

function notAPoint(detail: string): RowFault {
  return { column: "geometry", reason: "not_a_point", detail, suggestion: "give each address one Point" };
}

function textOfValue(value: unknown): string {
  if (value === undefined || value === null) return "";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

/** GeoJSON before RFC 7946 could name another system. Source: GeoJSON 1.0 (2008), section 3. */
function declaredCrs(head: string): { declaredCrs?: number } {
  const code = /"crs"\s*:\s*\{[^}]*EPSG:+(\d+)/.exec(head)?.[1];
  return code === undefined ? {} : { declaredCrs: Number(code) };
}
