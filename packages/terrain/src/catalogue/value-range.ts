import type { ValueRange } from "../raster/read-cells.ts";
import { isElevation, type TerrainKind } from "./terrain-sets.ts";

/** Limits of the heights of dry land, m: the shore of the Dead Sea at -430 and Everest at 8,849, with some margin. */
const LAND_HEIGHTS: ValueRange = { lowest: -500, highest: 9000 };

const FINITE: ValueRange = { lowest: -Number.MAX_VALUE, highest: Number.MAX_VALUE };

/** Returns the values that the cells of a set may have; others are not known. */
export function findValueRange(kind: TerrainKind): ValueRange {
  return isElevation(kind) ? LAND_HEIGHTS : FINITE;
}
