import { columnOfLongitude, type LatticeWindow, rowOfLatitude, worldCells } from "@fellmark/geodesy";
import { type MultiPolygon, type Polygon, type Position, polygonsOf } from "../geojson.ts";
import type { TierCollection } from "./trace-tiers.ts";

/** Crossings of one feature's rings with the middle of a row: where, and whether the feature begins or ends there. */
interface Crossing {
  column: number;
  begins: boolean;
}

/**
 * The class at each cell centre as the polygons tell it, 0 where there is none; the inverse of traceTiers, for checks.
 * Throws RangeError where a cell lies in two polygons.
 */
export function classesOfTiers(window: LatticeWindow, collection: TierCollection, planIds: string[]): Uint8Array {
  const classes = new Uint8Array(window.width * window.height);
  for (const { geometry, properties } of collection.features) {
    const tier = planIds.indexOf(properties.plan) + 1;
    for (const [row, crossings] of crossingsByRow(window, geometry).entries()) {
      fillRow(classes.subarray(row * window.width, (row + 1) * window.width), crossings, tier, row);
    }
  }
  return classes;
}

function fillRow(cells: Uint8Array, crossings: Crossing[], tier: number, row: number): void {
  crossings.sort((a, b) => a.column - b.column || Number(a.begins) - Number(b.begins));
  for (let at = 0; at < crossings.length; at += 2) {
    const [from, to] = [crossings[at], crossings[at + 1]];
    if (!from.begins || to?.begins !== false) throw new RangeError(`polygons of class ${tier} overlap in row ${row}`);
    for (let column = Math.ceil(from.column - 0.5); column < to.column - 0.5; column++) {
      if (cells[column] !== 0) throw new RangeError(`cell ${column}, ${row} is of class ${cells[column]} and ${tier}`);
      cells[column] = tier;
    }
  }
}

function crossingsByRow(window: LatticeWindow, geometry: Polygon | MultiPolygon): Crossing[][] {
  const rows: Crossing[][] = Array.from({ length: window.height }, () => []);
  for (const positions of polygonsOf(geometry).flat()) {
    const ring = cellCoordinates(window, positions);
    for (let at = 1; at < ring.length; at++) addCrossings(rows, ring[at - 1], ring[at]);
  }
  return rows;
}

/** Adds where an edge passes row middles. The feature is to its left, so it begins where the edge runs south. */
function addCrossings(rows: Crossing[][], from: { x: number; y: number }, to: { x: number; y: number }): void {
  const first = Math.max(0, Math.ceil(Math.min(from.y, to.y) - 0.5));
  const end = Math.min(rows.length, Math.ceil(Math.max(from.y, to.y) - 0.5));
  for (let row = first; row < end; row++) {
    const share = (row + 0.5 - from.y) / (to.y - from.y);
    rows[row].push({ column: from.x + share * (to.x - from.x), begins: to.y > from.y });
  }
}

/** Ring in cells from the window's corner, on the turn of the world that puts it inside the window. */
function cellCoordinates({ zoom, col0, row0, width }: LatticeWindow, ring: Position[]): { x: number; y: number }[] {
  const world = worldCells(zoom);
  const cells = ring.map(([lon, lat]) => {
    return { x: columnOfLongitude(lon, zoom) - col0, y: rowOfLatitude(lat, zoom) - row0 };
  });
  const middle = cells.reduce((sum, cell) => sum + cell.x, 0) / cells.length;
  const shift = world * Math.round((width / 2 - middle) / world);
  return cells.map(({ x, y }) => ({ x: x + shift, y }));
}
