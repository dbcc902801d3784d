import { CLUTTER_ROWS, type EndClutterClass } from "@fellmark/propagation";
import type { Legend } from "./legends.ts";

/** The kinds of clutter; `kind` arrays hold indices into this list. */
export const CLUTTER_KINDS = Object.keys(CLUTTER_ROWS) as readonly EndClutterClass[];

/** Index of each kind. */
export const KIND = Object.fromEntries(CLUTTER_KINDS.map((kind, index) => [kind, index])) as Record<
  EndClutterClass,
  number
>;

/** Least height of clutter, m; anything lower counts as open land. Common practice, no source. */
export const LEAST_CLUTTER_M = 2;

/** Above the highest code of every legend. */
const MAX_CODE = 1023;

/** Stands for a code that the legend does not have. */
export const NO_ROW = 255;

/** A legend as arrays over the codes 0 to MAX_CODE; plain data. */
export interface ClutterTable {
  kind: Uint8Array;
  heightM: Float32Array;
}

/** The table of a legend; `heights` replaces heights of the legend by code. Classes lower than LEAST_CLUTTER_M are open. */
export function buildClutterTable(legend: Legend, heights: Record<string, number>): ClutterTable {
  const table = { kind: new Uint8Array(MAX_CODE + 1).fill(NO_ROW), heightM: new Float32Array(MAX_CODE + 1) };
  for (const [code, row] of Object.entries(legend)) {
    const heightM = heights[code] ?? row.heightM;
    const isLow = heightM < LEAST_CLUTTER_M && row.kind !== "water" && row.kind !== "unknown";
    table.kind[Number(code)] = isLow ? KIND.open : KIND[row.kind];
    table.heightM[Number(code)] = isLow ? 0 : heightM;
  }
  return table;
}

/** Returns the kind of a code as an index into CLUTTER_KINDS, or NO_ROW. */
export function findKind({ kind }: ClutterTable, code: number): number {
  return code >= 0 && code <= MAX_CODE && Number.isInteger(code) ? (kind[code] as number) : NO_ROW;
}
