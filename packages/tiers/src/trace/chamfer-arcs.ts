import type { ArcSet } from "./trace-arcs.ts";

/**
 * The same arcs at twice the scale, running through the middles of the cell edges instead of their corners, so that a
 * staircase becomes a slanted line. Junctions stay. Every cut-off piece lies within half a cell of its corner: no cell
 * centre changes sides, and no two arcs meet.
 */
export function chamferArcs(traced: ArcSet): ArcSet {
  const pointStart = [0];
  const x: number[] = [];
  const y: number[] = [];
  for (let arc = 0; arc < traced.left.length; arc++) {
    chamferArc(traced, arc, x, y);
    pointStart.push(x.length);
  }
  return {
    ...traced,
    scale: 2 * traced.scale,
    pointStart: new Int32Array(pointStart),
    x: new Int32Array(x),
    y: new Int32Array(y),
  };
}

/** Appends the points of one arc: its junctions, and the middles of the first and last cell edge of each side. */
function chamferArc(traced: ArcSet, arc: number, x: number[], y: number[]): void {
  const first = traced.pointStart[arc];
  const last = traced.pointStart[arc + 1] - 1;
  const isClosed = traced.from[arc] < 0;
  const firstOut = x.length;
  const add = (atX: number, atY: number) => {
    x.push(atX);
    y.push(atY);
  };
  if (!isClosed) add(2 * traced.x[first], 2 * traced.y[first]);
  for (let side = first; side < last; side++) {
    const dx = traced.x[side + 1] - traced.x[side];
    const dy = traced.y[side + 1] - traced.y[side];
    const startsAtTurn = isClosed || side > first;
    const endsAtTurn = isClosed || side + 1 < last;
    if (startsAtTurn) add(2 * traced.x[side] + Math.sign(dx), 2 * traced.y[side] + Math.sign(dy));
    const isOneMiddle = startsAtTurn && Math.abs(dx + dy) === 1;
    if (endsAtTurn && !isOneMiddle) add(2 * traced.x[side + 1] - Math.sign(dx), 2 * traced.y[side + 1] - Math.sign(dy));
  }
  if (isClosed) add(x[firstOut], y[firstOut]);
  else add(2 * traced.x[last], 2 * traced.y[last]);
}
