import { buildCellularRates, listCellularWidths } from "./cellular-rates.ts";
import { CELLULAR_TABLES, type CellularTable } from "./cellular-tables.ts";
import { buildOwnRates, type OwnTable } from "./own-table.ts";
import type { RateRow } from "./rate-row.ts";
import { buildWifiRates, listWifiWidths, type RateTable, WIFI_TABLES } from "./wifi-rates.ts";

/** Names of all rate tables; "own" is the radio's own. */
export type RateTableName = RateTable | CellularTable | "own";

export interface RateTableInput {
  table: RateTableName;
  /** For "own". */
  ownTables?: readonly OwnTable[] | undefined;
  widthMhz: number;
  streams: number;
  /** For the tables of 802.11, us; default 0.8. */
  guardIntervalUs?: number | undefined;
  /** For own tables by sensitivity, dB. */
  noiseFigureDb?: number | undefined;
}

/** Returns the rates of a channel, slowest first. Throws RangeError for a width that the table does not have. */
export function buildRates(input: RateTableInput): RateRow[] {
  const { table, ownTables = [], widthMhz, streams, guardIntervalUs = 0.8, noiseFigureDb = 0 } = input;
  if (table === "own") return buildOwnRates(ownTables, { widthMhz, streams, noiseFigureDb });
  if (isCellular(table)) return buildCellularRates(table, widthMhz, streams);
  return buildWifiRates(table, { widthMhz, streams, guardIntervalUs });
}

/** Returns the channel widths of a table, MHz, rising. */
export function listWidths(table: RateTableName, ownTables: readonly OwnTable[] = []): number[] {
  if (table === "own") return ownTables.map(({ widthMhz }) => widthMhz).sort((a, b) => a - b);
  return isCellular(table) ? listCellularWidths(table) : listWifiWidths(table);
}

/** Returns true for tables whose levels are for an ideal receiver, so that implementation loss is added. */
export function hasImplementationLoss(table: RateTableName): boolean {
  return (WIFI_TABLES as readonly string[]).includes(table);
}

/** Families of tables, each from the older to the newer: both ends of a link need tables of one family. */
const FAMILIES: readonly (readonly RateTableName[])[] = [
  WIFI_TABLES,
  ["lte-64qam", "lte-256qam"],
  ["nr-64qam", "nr-256qam"],
  ["own"],
];

/** Returns the table that two radios have in common: the older one; null for tables of different families. */
export function findCommonTable(one: RateTableName, other: RateTableName): RateTableName | null {
  const family = FAMILIES.find((tables) => tables.includes(one));
  if (!family?.includes(other)) return null;
  return family[Math.min(family.indexOf(one), family.indexOf(other))];
}

function isCellular(table: RateTableName): table is CellularTable {
  return table in CELLULAR_TABLES;
}
