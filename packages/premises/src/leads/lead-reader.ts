import { InputError } from "@fellmark/units";
import {
  createPointsReader,
  findAddressColumns,
  hasDecimalCommas,
  joinAddress,
  MAX_ADDRESS_CHARS,
} from "../import/row-reader.ts";
import { type ColumnMap, findColumns, listNames, type Role } from "../read/columns.ts";
import { readCoordinate } from "../read/coordinate.ts";
import { createUnreadableError } from "../read/file-text.ts";
import { openTable } from "../read/open-table.ts";
import type { PointOptions } from "../read/point.ts";
import type { RowFault } from "../read/rejection.ts";
import type { Table, TableRow } from "../read/table.ts";

/** A request for service. */
export interface Lead {
  row: number;
  /** Id in the file; empty: none. */
  id: string;
  /** Address as given. */
  address: string;
  /** Id of the premises; empty: not given. */
  premises: string;
  /** Point, if given; it takes precedence over the address. */
  point: { lon: number; lat: number } | null;
  /** Height of the mount, metres above ground; null: the default of the batch. */
  heightAglM: number | null;
  /** Fault because of which the row cannot be answered. */
  fault: RowFault | null;
  /** Cells of the file, in the order of its columns; fewer or more in a faulty row. */
  cells: string[];
}

export interface LeadOptions extends PointOptions {
  map: ColumnMap;
  delimiter?: string | undefined;
}

const LEAD_ROLES: readonly Role[] = [
  ...(["id", "premises", "address", "house", "street", "unit", "town", "region", "postcode"] as const),
  ...(["lon", "lat", "height"] as const),
];

/** Highest plausible mount, metres; a larger number is in another unit. */
const MAX_HEIGHT_AGL_M = 100;

/** The leads of a file, and the names of its columns. */
export interface LeadTable {
  columns: string[];
  leads: Lead[];
}

/** Reads all leads of a CSV or GeoJSON file, in order; a faulty row keeps its place. Throws InputError as imports do. */
export async function readLeads(file: string, options: LeadOptions): Promise<LeadTable> {
  const table = await openTable(file, options);
  const columns = findColumns(table.columns, options.map, LEAD_ROLES);
  requirePlace(table, columns);
  const read = createLeadReader(table, columns, options);
  const leads: Lead[] = [];
  for await (const rows of table.rows) for (const row of rows) leads.push(read(row));
  if (leads.length === 0) throw createUnreadableError("has no row below its header");
  return { columns: table.columns, leads };
}

function requirePlace(table: Table, columns: ColumnMap): void {
  const hasPoint = columns.lon !== undefined && columns.lat !== undefined;
  if (hasPoint || columns.address || columns.street || columns.premises) return;
  const detail = "no column is known as address, premises, or lon and lat; name one in the map";
  throw new InputError([{ pointer: "/map", detail, limit: listNames(table.columns) }]);
}

function createLeadReader(table: Table, columns: ColumnMap, options: PointOptions): (row: TableRow) => Lead {
  const at = (role: Role) => (columns[role] === undefined ? -1 : table.columns.indexOf(columns[role]));
  const addressAt = findAddressColumns(at);
  const cell = (cells: string[], role: Role) => cells[at(role)]?.trim() ?? "";
  const readPoint = createPointsReader(table, columns, options);
  const form = { hasDecimalCommas: hasDecimalCommas(table.format) };

  return ({ row, cells, fault }) => {
    const lead: Lead = {
      row,
      id: cell(cells, "id"),
      address: joinAddress(cells, addressAt).slice(0, MAX_ADDRESS_CHARS),
      premises: cell(cells, "premises"),
      point: null,
      heightAglM: null,
      fault: fault ?? null,
      cells,
    };
    if (fault) return lead;
    const [lon, lat, height] = [cell(cells, "lon"), cell(cells, "lat"), cell(cells, "height")];
    if (lon !== "" || lat !== "") {
      const point = readPoint(lon, lat);
      if ("fault" in point) return { ...lead, fault: point.fault };
      lead.point = { lon: point.lon, lat: point.lat };
    }
    if (height === "") return lead;
    const read = readCoordinate(height, form);
    if ("value" in read && read.value > 0 && read.value <= MAX_HEIGHT_AGL_M) return { ...lead, heightAglM: read.value };
    return { ...lead, fault: toBadHeightFault(columns.height ?? "") };
  };
}

function toBadHeightFault(column: string): RowFault {
  const suggestion = `metres above ground up to ${MAX_HEIGHT_AGL_M}, as 6.5; or leave it empty`;
  return { column, reason: "bad_height", detail: "is not a mount height", suggestion };
}
