import { createHash } from "node:crypto";
import type { PremisesRecord } from "@fellmark/ledger";
import { FellmarkError, InputError } from "@fellmark/units";
import { splitAddress } from "../address/address-words.ts";
import { POINT_QUALITY_M } from "../premises.ts";
import { type ColumnMap, findColumns, listNames, type Role } from "../read/columns.ts";
import { createPointReader, type PointOptions, type ReadPoint } from "../read/point.ts";
import { quoteCell, type RowFault } from "../read/rejection.ts";
import type { Table, TableFormat, TableRow } from "../read/table.ts";

export const MAX_ADDRESS_CHARS = 500;
const MAX_ID_CHARS = 100;

/** Columns of a list of premises. */
const PREMISES_ROLES: readonly Role[] = [
  ...(["id", "address", "house", "street", "unit", "town", "region", "postcode"] as const),
  ...(["lon", "lat", "quality"] as const),
];

export interface RowOptions extends PointOptions {
  map: ColumnMap;
  /** Quality of points whose row states none; see POINT_QUALITY_M. */
  quality?: string | undefined;
}

export type ReadRow = { record: PremisesRecord; findings: RowFindings } | { fault: RowFault };

/** Properties of an imported row that somebody should check. */
export interface RowFindings {
  isQualityUnknown: boolean;
  isOutside: boolean;
}

export interface RowReader {
  /** Column of each role. */
  columns: ColumnMap;
  read(row: TableRow): ReadRow;
}

/** Returns a reader of rows as premises. Throws InputError for missing columns or a wrong option. */
export function createRowReader(table: Table, options: RowOptions): RowReader {
  const columns = findColumns(table.columns, options.map, PREMISES_ROLES);
  requireColumns(table, columns);
  const at = (role: Role) => (columns[role] === undefined ? -1 : table.columns.indexOf(columns[role]));
  const addressAt = findAddressColumns(at);
  const [idAt, lonAt, latAt, qualityAt] = [at("id"), at("lon"), at("lat"), at("quality")];
  const readPoint = createPointsReader(table, columns, options);
  const qualityOf = createQualityReader(options.quality);

  return {
    columns,
    read({ cells, fault }) {
      if (fault) return { fault };
      const address = joinAddress(cells, addressAt);
      const words = splitAddress(address).join(" ");
      const wrong = findAddressFault({ address, words }, columns);
      if (wrong) return { fault: wrong };
      const point = readPoint(cells[lonAt], cells[latAt]);
      if ("fault" in point) return point;
      const id = (idAt < 0 ? "" : cells[idAt].trim()) || computeIdentity(words, point);
      if (id.length > MAX_ID_CHARS) return { fault: toTooLongFault(columns.id ?? "", "id", MAX_ID_CHARS) };
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
    missing.map((role) => ({ pointer: `/map/${role}`, detail: detail(role), limit: listNames(table.columns) })),
  );
}

/** Returns a reader of the points of a table. Throws InputError at /crs for an unknown or unconfirmed system. */
export function createPointsReader(
  { declaredCrs, format }: Table,
  { lon = "", lat = "" }: ColumnMap,
  options: PointOptions,
): (lon: string, lat: string) => ReadPoint {
  if (options.crs === undefined && declaredCrs !== undefined && declaredCrs !== 4326) {
    const detail = `the file says that its points are in EPSG:${declaredCrs}; confirm it`;
    throw new InputError([{ pointer: "/crs", detail, limit: String(declaredCrs) }]);
  }
  try {
    return createPointReader({ lon, lat }, { ...options, hasDecimalCommas: hasDecimalCommas(format) });
  } catch (error) {
    if (!(error instanceof FellmarkError)) throw error;
    throw new InputError([{ pointer: "/crs", detail: error.message }]);
  }
}

/** True where nothing else is separated by commas, so that one in a number is a decimal comma. */
export function hasDecimalCommas({ delimiter }: TableFormat): boolean {
  return delimiter !== undefined && delimiter !== ",";
}

/** Columns of the address: one cell, or parts that make one line in this order. */
export type AddressColumns = { whole: number } | { parts: readonly { at: number; before: string }[] };

export function findAddressColumns(at: (role: Role) => number): AddressColumns {
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

/** Returns the address in one line; cells that a short row lacks are empty. */
export function joinAddress(cells: readonly string[], columns: AddressColumns): string {
  if ("whole" in columns) return cells.at(columns.whole)?.trim() ?? "";
  let address = "";
  for (const { at, before } of columns.parts) {
    const part = cells.at(at)?.trim() ?? "";
    if (part !== "") address += address === "" ? part : before + part;
  }
  return address;
}

function findAddressFault(
  { address, words }: { address: string; words: string },
  columns: ColumnMap,
): RowFault | undefined {
  const column = columns.address ?? columns.street ?? "";
  if (address.length > MAX_ADDRESS_CHARS) return toTooLongFault(column, "address", MAX_ADDRESS_CHARS);
  if (words !== "") return undefined;
  const detail = address === "" ? "the address is empty" : "the address has neither letters nor digits";
  return { column, reason: "no_address", detail, suggestion: "give an address, or leave the row out" };
}

function toTooLongFault(column: string, what: string, limit: number): RowFault {
  const detail = `the ${what} is longer than ${limit} characters`;
  return { column, reason: "too_long", detail, suggestion: "check the quotes and the delimiter of this row" };
}

/** Returns a reader of a quality cell in metres; null: not stated, undefined: not a known word. */
function createQualityReader(quality: string | undefined): (text: string) => number | null | undefined {
  const ofAll = quality === undefined ? null : POINT_QUALITY_M[quality];
  if (ofAll === undefined) {
    const detail = `${quoteCell(quality ?? "")} is not a quality of points`;
    throw new InputError([{ pointer: "/quality", detail, limit: Object.keys(POINT_QUALITY_M).join(", ") }]);
  }
  return (text) => (text === "" ? ofAll : POINT_QUALITY_M[text.trim().toLowerCase()]);
}

/** Decimals of a degree of the point in an identity: about 100 m. */
const IDENTITY_DECIMALS = 3;

/**
 * Returns the id of a row without one: from its words and its point to about 100 m, so that another spelling or a small
 * correction of the point keeps it. 'a' and 80 bits of a SHA-256.
 */
function computeIdentity(words: string, { lon, lat }: { lon: number; lat: number }): string {
  const point = `${lon.toFixed(IDENTITY_DECIMALS)},${lat.toFixed(IDENTITY_DECIMALS)}`;
  return `a${createHash("sha256").update(`${words}|${point}`).digest("hex").slice(0, 20)}`;
}
