import { type LatticeWindow, toLatitudeDeg, toLatticeColumn, toLatticeRow, toLongitudeDeg } from "@fellmark/geodesy";
import type { Position } from "geojson";

/** Place where a ring passes the middle of a row; the ring's left side begins or ends there, from west to east. */
export interface Crossing {
  /** Columns from the window's west side. */
  column: number;
  begins: boolean;
}

/**
 * Crossings of rings with the middles of a window's rows, by row, from west to east. Edges are straight in longitude and
 * latitude (RFC 7946, section 3.1.1). Longitudes are continuous and on the window's turn of the world.
 */
export function findCrossings(window: LatticeWindow, rings: readonly Position[][]): Crossing[][] {
  const rows: Crossing[][] = Array.from({ length: window.height }, () => []);
  for (const ring of rings) {
    for (let at = 1; at < ring.length; at++) addCrossings(window, rows, ring[at - 1], ring[at]);
  }
  for (const crossings of rows) crossings.sort((a, b) => a.column - b.column || Number(a.begins) - Number(b.begins));
  return rows;
}

/** Adds the crossings of one edge. The left side of an edge begins where the edge runs south. */
function addCrossings({ zoom, col0, row0 }: LatticeWindow, rows: Crossing[][], from: Position, to: Position): void {
  const [fromRow, toRow] = [toLatticeRow(from[1], zoom) - row0, toLatticeRow(to[1], zoom) - row0];
  const first = Math.max(0, Math.ceil(Math.min(fromRow, toRow) - 0.5));
  const end = Math.min(rows.length, Math.ceil(Math.max(fromRow, toRow) - 0.5));
  for (let row = first; row < end; row++) {
    const share = (toLatitudeDeg(row0 + row + 0.5, zoom) - from[1]) / (to[1] - from[1]);
    const lon = from[0] + Math.min(1, Math.max(0, share)) * (to[0] - from[0]);
    rows[row].push({ column: toLatticeColumn(lon, zoom) - col0, begins: toRow > fromRow });
  }
}

/** Longitude of a window's middle, which may lie beyond 180 degrees. */
export function findMiddleLongitude({ col0, width, zoom }: LatticeWindow): number {
  return toLongitudeDeg(col0 + width / 2, zoom);
}
