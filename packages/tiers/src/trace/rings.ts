import { type ArcSet, EAST, NORTH, SOUTH, WEST } from "./trace-arcs.ts";

/**
 * An arc as walked by the face on its left: 2 * arc forwards, 2 * arc + 1 backwards.
 * Seen with north up, a face's outer ring runs anticlockwise and its holes clockwise.
 */
export type HalfArc = number;

/** A simple ring of one face, as the half-arcs that it is made of. */
export interface Ring {
  label: number;
  halves: HalfArc[];
}

/** The rings of all faces whose labels are wanted. */
export function findRings(arcs: ArcSet, isWanted: (label: number) => boolean): Ring[] {
  const rings: Ring[] = [];
  const leaving = listHalvesByJunction(arcs);
  const startedAt = new Int32Array(arcs.junctionCount).fill(-1);
  const used = new Uint8Array(2 * arcs.left.length);
  for (let half = 0; half < used.length; half++) {
    const label = findLabel(arcs, half);
    if (used[half] || !isWanted(label)) continue;
    if (arcs.from[half >> 1] < 0) rings.push({ label, halves: [half] });
    else walkFace(arcs, leaving, startedAt, used, half, rings);
  }
  return rings;
}

/**
 * Walks along a face from a half-arc until it comes back. Turning left wherever an edge leads left keeps to cells that
 * share a side, so the walk may pass a junction twice, where two cells of the face meet over a corner: each part that
 * starts and ends at such a junction is a ring of its own, and rings touch in points only.
 */
function walkFace(
  arcs: ArcSet,
  leaving: Int32Array,
  startedAt: Int32Array,
  used: Uint8Array,
  first: HalfArc,
  rings: Ring[],
): void {
  const open: HalfArc[] = [];
  let half = first;
  do {
    used[half] = 1;
    startedAt[findStart(arcs, half)] = open.length;
    open.push(half);
    const junction = findEnd(arcs, half);
    if (startedAt[junction] >= 0) {
      const halves = open.splice(startedAt[junction]);
      for (const closed of halves) startedAt[findStart(arcs, closed)] = -1;
      rings.push({ label: findLabel(arcs, first), halves });
    }
    half = findNextHalf(arcs, leaving, half);
  } while (half !== first);
}

function findNextHalf(arcs: ArcSet, leaving: Int32Array, half: HalfArc): HalfArc {
  const base = 4 * findEnd(arcs, half);
  const ahead = (half & 1) === 0 ? arcs.toDirection[half >> 1] : turnBack(arcs.fromDirection[half >> 1]);
  const toLeft = leaving[base + ((ahead + 3) & 3)];
  if (toLeft >= 0) return toLeft;
  return leaving[base + ahead] >= 0 ? leaving[base + ahead] : leaving[base + ((ahead + 1) & 3)];
}

/** The half-arc that leaves each junction in each direction, at 4 * junction + direction; -1 where there is none. */
function listHalvesByJunction(arcs: ArcSet): Int32Array {
  const leaving = new Int32Array(4 * arcs.junctionCount).fill(-1);
  for (let arc = 0; arc < arcs.left.length; arc++) {
    if (arcs.from[arc] < 0) continue;
    leaving[4 * arcs.from[arc] + arcs.fromDirection[arc]] = 2 * arc;
    leaving[4 * arcs.to[arc] + turnBack(arcs.toDirection[arc])] = 2 * arc + 1;
  }
  return leaving;
}

function turnBack(direction: number): number {
  return (direction + 2) & 3;
}

function findLabel(arcs: ArcSet, half: HalfArc): number {
  return (half & 1) === 0 ? arcs.left[half >> 1] : arcs.right[half >> 1];
}

function findStart(arcs: ArcSet, half: HalfArc): number {
  return (half & 1) === 0 ? arcs.from[half >> 1] : arcs.to[half >> 1];
}

function findEnd(arcs: ArcSet, half: HalfArc): number {
  return (half & 1) === 0 ? arcs.to[half >> 1] : arcs.from[half >> 1];
}

/** Calls `visit` with the index of each point of a ring, the first one again at the end. */
export function forEachPoint(arcs: ArcSet, ring: Ring, visit: (point: number) => void): void {
  visit(findPoint(arcs, ring.halves[0], 0));
  for (const half of ring.halves) {
    const count = arcs.pointStart[(half >> 1) + 1] - arcs.pointStart[half >> 1];
    for (let step = 1; step < count; step++) visit(findPoint(arcs, half, step));
  }
}

function findPoint(arcs: ArcSet, half: HalfArc, step: number): number {
  const arc = half >> 1;
  return (half & 1) === 0 ? arcs.pointStart[arc] + step : arcs.pointStart[arc + 1] - 1 - step;
}

/** True for a ring that runs anticlockwise, north up: it bounds its face from outside. */
export function isShell(arcs: ArcSet, ring: Ring): boolean {
  let twiceArea = 0;
  let beforeX = 0;
  let beforeY = 0;
  forEachPoint(arcs, ring, (point) => {
    twiceArea += beforeX * arcs.y[point] - beforeY * arcs.x[point];
    beforeX = arcs.x[point];
    beforeY = arcs.y[point];
  });
  return twiceArea < 0;
}

/** Column and row of the cell on the left of a ring's first cell edge. `traced` holds the arcs before simplification. */
export function findCellInside(traced: ArcSet, ring: Ring): { column: number; row: number } {
  const half = ring.halves[0];
  const arc = half >> 1;
  const x = traced.x[traced.pointStart[arc]];
  const y = traced.y[traced.pointStart[arc]];
  const direction = traced.fromDirection[arc];
  const isForward = (half & 1) === 0;
  // Which of the four cells around the point lies left of the edge that leaves it, or right of it when walked back.
  const isEastern = direction === EAST || direction === (isForward ? SOUTH : NORTH);
  const isSouthern = direction === SOUTH || direction === (isForward ? WEST : EAST);
  return { column: isEastern ? x : x - 1, row: isSouthern ? y : y - 1 };
}
