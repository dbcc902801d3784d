import type { ClassGrid } from "../tier-class.ts";
import { findRegion, findRegions } from "./regions.ts";
import { findCellInside, findRings, forEachPoint, isShell, type Ring } from "./rings.ts";
import { type ArcSet, traceArcs } from "./trace-arcs.ts";

/** A closed ring as x, y, x, y, ... in cells from the north-west corner of the raster; its last point is its first. */
export type CellRing = number[];

export interface PolygonTracing<R> {
  /** True for the labels whose polygons are wanted. */
  isShown: (label: number) => boolean;
  /** Makes arcs with fewer points; absent: borders follow the cell edges. */
  simplify?: (arcs: ArcSet) => ArcSet;
  toRing: (arcs: ArcSet, ring: Ring) => R;
}

/**
 * Returns the polygons of each label that is shown, index = label: a shell, then its holes. Labels run from 1 to 254; the
 * smaller, the more it promises. Seen with north up, shells run anticlockwise.
 */
export function tracePolygons<R>(labels: ClassGrid, { isShown, simplify, toRing }: PolygonTracing<R>): R[][][] {
  const traced = traceArcs(labels);
  const arcs = simplify ? simplify(traced) : traced;
  const regions = findRegions(labels, isShown);
  const polygons = Array.from({ length: 255 }, (): R[][] => []);
  const polygonOfRegion = Array.from({ length: regions.count }, (): R[] => []);
  for (const ring of findRings(arcs, isShown)) {
    const cell = findCellInside(traced, ring);
    const polygon = polygonOfRegion[findRegion(regions, cell.column, cell.row)];
    if (isShell(arcs, ring)) {
      polygon.unshift(toRing(arcs, ring));
      polygons[ring.label].push(polygon);
    } else polygon.push(toRing(arcs, ring));
  }
  return polygons;
}

/** Returns the polygons of each label along the edges of its cells, see tracePolygons. */
export function traceCellPolygons(labels: ClassGrid, isShown: (label: number) => boolean): CellRing[][][] {
  const toRing = (arcs: ArcSet, ring: Ring) => {
    const points: CellRing = [];
    forEachPoint(arcs, ring, (point) => points.push(arcs.x[point], arcs.y[point]));
    return points;
  };
  return tracePolygons(labels, { isShown, toRing });
}
