import { createHash } from "node:crypto";
import type { PremisesRecord } from "@fellmark/ledger";
import { FellmarkError, InputError } from "@fellmark/units";
import { addressWords } from "../address/address-words.ts";
import { POINT_QUALITY_M } from "../premises.ts";
import { type ColumnMap, columnsOf, listed, type Role } from "../read/columns.ts";
import { type PointOptions, pointReader, type ReadPoint } from "../read/point.ts";
import { quoted, type RowFault } from "../read/rejection.ts";
import type { Table, TableRow } from "../read/table.ts";

export const MAX_ADDRESS_CHARS = 500;
const MAX_ID_CHARS = 100;

/** Columns of a list of premises. */
const PREMISES_ROLES: readonly Role[] = [
  ...(["id", "address", "house", "street", "unit", "town", "region", "postcode"] as const),
  ...(["lon", "lat", "quality"] as const),
];

export interface RowOptions extends PointOptions {
  map: ColumnMap;
  /** Of points whose row does not say how good they are; see POINT_QUALITY_M. */
  quality?: string | undefined;
}

export type ReadRow = { record: PremisesRecord; findings: RowFindings } | { fault: RowFault };

/** What is taken as it is but should be looked at. */
export interface RowFindings {
  isQualityUnknown: boolean;
  isOutside: boolean;
}

export interface RowReader {
  /** Which column is read as what. */
  columns: ColumnMap;
  read(row: TableRow): ReadRow;
}

/** What reads the rows of a table as premises. Throws InputError where columns are missing or an option is wrong. */
export function createRowReader(table: Table, options: RowOptions): RowReader {
  const columns = columnsOf(table.columns, options.map, PREMISES_ROLES);
  requireColumns(table, columns);
  const at = (role: Role) => (columns[role] === undefined ? -1 : table.columns.indexOf(columns[role]));
  const addressAt = addressColumns(at);
  const [idAt, lonAt, latAt, qualityAt] = [at("id"), at("lon"), at("lat"), at("quality")];
  const readPoint = pointsOf(table, columns, options);
  const qualityOf = qualityReader(options.quality);

  return {
    columns,
    read({ cells, fault }) {
      if (fault) return { fault };
      const address = addressOf(cells, addressAt);
      const words = addressWords(address).join(" ");
      const wrong = addressFault({ address, words }, columns);
      if (wrong) return { fault: wrong };
      const point = readPoint(cells[lonAt], cells[latAt]);
      if ("fault" in point) return point;
      const id = (idAt < 0 ? "" : cells[idAt].trim()) || identityOf(words, point);
      if (id.length > MAX_ID_CHARS) return { fault: tooLong(columns.id ?? "", "id", MAX_ID_CHARS) };
      const qualityM = qualityOf(qualityAt < 0 ? "" : cells[qualityAt]);
      const record = { id, address, words, lon: point.lon, lat: point.lat, qualityM: qualityM ?? null };
      return { record, findings: { isQualityUnknown: qualityM === undefined, isOutside: point.isOutside } };
    },
  };
}

function requireColumns(table: Table, columns: ColumnMap): void {
  const missing = (["lon", "lat"] as Role[]).filter((role) => columns[role] === undefined);
  if (columns.address === undefined && columns.street === undefined) missing.unshift("address");
  if (missing.length === 0) return;
  const detail = (role: Role) => `no column is known as ${role}; name it in the map`;
  throw new InputError(
    missing.map((role) => ({ pointer: `/map/${role}`, detail: detail(role), limit: listed(table.columns) })),
  );
}

/** What reads the points of a table. Throws InputError at /crs for a system that is not known or not confirmed. */
export function pointsOf(
  { declaredCrs }: Table,
  { lon = "", lat = "" }: ColumnMap,
  options: PointOptions,
): (lon: string, lat: string) => ReadPoint {
  if (options.crs === undefined && declaredCrs !== undefined && declaredCrs !== 4326) {
    const detail = `the file says that its points are in EPSG:${declaredCrs}; confirm it`;
    throw new InputError([{ pointer: "/crs", detail, limit: String(declaredCrs) }]);
  }
  try {
    return pointReader({ lon, lat }, options);
  } catch (error) {
    if (!(error instanceof FellmarkError)) throw error;
    throw new InputError([{ pointer: "/crs", detail: error.message }]);
  }
}

/** Where the address stands: in one cell, or in parts that make one line in this order. */
export type AddressColumns = { whole: number } | { parts: readonly { at: number; before: string }[] };

export function addressColumns(at: (role: Role) => number): AddressColumns {
  if (at("address") >= 0) return { whole: at("address") };
  const parts: [Role, string][] = [
    ...([
      ["house", " "],
      ["street", " "],
      ["unit", " "],
    ] as [Role, string][]),
    ...([
      ["town", ", "],
      ["region", ", "],
      ["postcode", " "],
    ] as [Role, string][]),
  ];
  return { parts: parts.map(([role, before]) => ({ at: at(role), before })).filter(({ at: index }) => index >= 0) };
}

/** The address in one line; what a row that is too short lacks is empty. */
export function addressOf(cells: readonly string[], columns: AddressColumns): string {
  if ("whole" in columns) return cells.at(columns.whole)?.trim() ?? "";
  let address = "";
  for (const { at, before } of columns.parts) {
    const part = cells.at(at)?.trim() ?? "";
    if (part !== "") address += address === "" ? part : before + part;
  }
  return address;
}

function addressFault(
  { address, words }: { address: string; words: string },
  columns: ColumnMap,
): RowFault | undefined {
  const column = columns.address ?? columns.street ?? "";
  if (address.length > MAX_ADDRESS_CHARS) return tooLong(column, "address", MAX_ADDRESS_CHARS);
  if (words !== "") return undefined;
  const detail = address === "" ? "the address is empty" : "the address has neither letters nor digits";
  return { column, reason: "no_address", detail, suggestion: "give an address, or leave the row out" };
}

function tooLong(column: string, what: string, limit: number): RowFault {
  const detail = `the ${what} is longer than ${limit} characters`;
  return { column, reason: "too_long", detail, suggestion: "check the quotes and the delimiter of this row" };
}

/** Metres of a cell; null where it is empty and nothing stands for all, undefined where it says what is not known. */
function qualityReader(quality: string | undefined): (text: string) => number | null | undefined {
  const ofAll = quality === undefined ? null : POINT_QUALITY_M[quality];
  if (ofAll === undefined) {
    const detail = `${quoted(quality ?? "")} is no quality of points`;
    throw new InputError([{ pointer: "/quality", detail, limit: Object.keys(POINT_QUALITY_M).join(", ") }]);
  }
  return (text) => (text === "" ? ofAll : POINT_QUALITY_M[text.trim().toLowerCase()]);
}

/** Decimals of a degree to which a point takes part in an identity: about 100 m. */
const IDENTITY_DECIMALS = 3;

/**
 * What a row without an id is known by: its words and its point to about 100 m, so that another spelling or a corrected
 * pin leaves it as it is. 'a' and 80 bits of a SHA-256.
 */
function identityOf(words: string, { lon, lat }: { lon: number; lat: number }): string {
  const point = `${lon.toFixed(IDENTITY_DECIMALS)},${lat.toFixed(IDENTITY_DECIMALS)}`;
  return `a${createHash("sha256").update(`${words}|${point}`).digest("hex").slice(0, 20)}`;
}
