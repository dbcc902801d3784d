import type { LatticeWindow } from "@fellmark/geodesy";
import { unwrapShape } from "../shapes/drawn-shape.ts";
import { type Crossing, findCrossings, findMiddleLongitude } from "../shapes/row-crossings.ts";
import { TIER_CLASS } from "../tier-class.ts";
import type { TierCollection, TierProperties } from "../trace/trace-tiers.ts";

/**
 * The class at each cell centre as the polygons tell it, 0 where there is none; the inverse of traceTiers, for checks.
 * Throws RangeError where a cell lies in two polygons.
 */
export function rasteriseTiers(window: LatticeWindow, collection: TierCollection, planIds: string[]): Uint8Array {
  const classes = new Uint8Array(window.width * window.height);
  for (const { geometry, properties } of collection.features) {
    const tier = toClass(properties, planIds);
    const rings = unwrapShape(geometry, findMiddleLongitude(window)).flat();
    for (const [row, crossings] of findCrossings(window, rings).entries()) {
      fillRow(classes.subarray(row * window.width, (row + 1) * window.width), crossings, tier, row);
    }
  }
  return classes;
}

function toClass({ class: kind, plan }: TierProperties, planIds: string[]): number {
  if (plan === null) return TIER_CLASS.notKnown;
  return (kind === "plan" ? 1 : 1 + planIds.length) + planIds.indexOf(plan);
}

function fillRow(cells: Uint8Array, crossings: Crossing[], tier: number, row: number): void {
  for (let at = 0; at < crossings.length; at += 2) {
    const [from, to] = [crossings[at], crossings[at + 1]];
    if (!from.begins || to?.begins !== false) throw new RangeError(`polygons of class ${tier} overlap in row ${row}`);
    for (let column = Math.max(0, Math.ceil(from.column - 0.5)); column < to.column - 0.5; column++) {
      if (cells[column] !== 0) throw new RangeError(`cell ${column}, ${row} is of class ${cells[column]} and ${tier}`);
      cells[column] = tier;
    }
  }
}
