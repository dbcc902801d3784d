import type { LatticeWindow } from "@fellmark/geodesy";
import { InputError } from "@fellmark/units";
import type { Position } from "geojson";
import { type DrawnShape, unwrapShape } from "./drawn-shape.ts";
import { type Crossing, findCrossings, findMiddleLongitude } from "./row-crossings.ts";

/** The shapes of an area; empty lists leave it as it is. */
export interface AreaShapes {
  /** Places count in one of these only. */
  within: readonly DrawnShape[];
  /** Places do not count in any of these. */
  exclude: readonly DrawnShape[];
}

/**
 * In shared memory, 1 for each cell of a window whose centre counts, 0 for the others; null where there are no shapes.
 * Throws InputError where no cell is left.
 */
export function buildAreaMask(window: LatticeWindow, { within, exclude }: AreaShapes): Uint8Array | null {
  if (within.length + exclude.length === 0) return null;
  const mask = new Uint8Array(new SharedArrayBuffer(window.width * window.height)).fill(within.length === 0 ? 1 : 0);
  fillShapes(window, mask, within, 1);
  fillShapes(window, mask, exclude, 0);
  if (!mask.includes(1)) {
    const pointer = within.length === 0 ? "/area/exclude" : "/area/within";
    throw new InputError([{ pointer, detail: "the shapes leave no cell of the area around the sites" }]);
  }
  return mask;
}

function fillShapes(window: LatticeWindow, mask: Uint8Array, shapes: readonly DrawnShape[], value: number): void {
  const polygons = shapes.flatMap((shape) => unwrapShape(shape, findMiddleLongitude(window)));
  for (const polygon of polygons) fillPolygon(window, mask, polygon, value);
}

function fillPolygon(window: LatticeWindow, mask: Uint8Array, rings: readonly Position[][], value: number): void {
  for (const [row, crossings] of findCrossings(window, rings).entries()) {
    const start = row * window.width;
    for (let at = 0; at + 1 < crossings.length; at += 2) {
      mask.fill(
        value,
        start + findFirstColumn(crossings[at], window),
        start + findFirstColumn(crossings[at + 1], window),
      );
    }
  }
}

/** First column of a window whose middle is not west of a crossing. */
function findFirstColumn({ column }: Crossing, { width }: LatticeWindow): number {
  return Math.min(width, Math.max(0, Math.ceil(column - 0.5)));
}
