import { PointGrid } from "./point-grid.ts";
import type { ArcSet } from "./trace-arcs.ts";

export interface SimplifyOptions {
  /** Size of the raster that the arcs were traced on, cells. */
  width: number;
  height: number;
  /** A point may go while the triangle with its neighbours is no larger than half a square of this side, cells. */
  cells: number;
  /** No new slanted line is longer than this, cells. */
  maxSpanCells: number;
}

/** Arcs with fewer turns stay exact: they bound regions of a few cells, of which one corner is a large share. */
const LEAST_TURNS = 10;

/**
 * The same arcs with fewer points. Rule: ground only ever moves to the label that promises less, the greater of the two,
 * so a place inside a simplified face lies in that face or a better one of the raster. Only corners of the better face
 * can go, so the new border runs through the corners of the other one.
 *
 * Points go in the order of the triangle that each one spans with its neighbours, smallest first. Faces share arcs, so
 * they stay edge to edge. Source: Visvalingam and Whyatt, Line generalisation by repeated elimination of points, 1993.
 *
 * A point goes only if no point of any arc lies in its triangle. Then nothing can come to cross or touch: an edge that
 * enters the triangle and has no end in it would have to leave through the one new side, which a straight line cannot
 * do twice. Closed arcs keep three points, and no two arcs become the same straight line.
 */
export function simplifyArcs(arcs: ArcSet, options: SimplifyOptions): ArcSet {
  const thinner = new ArcThinner(arcs, options);
  const pointStart = [0];
  const kept: number[] = [];
  for (let arc = 0; arc < arcs.left.length; arc++) {
    thinner.thin(arc, kept);
    pointStart.push(kept.length);
  }
  const points = new Int32Array(kept);
  return {
    ...arcs,
    pointStart: new Int32Array(pointStart),
    x: points.map((point) => arcs.x[point]),
    y: points.map((point) => arcs.y[point]),
  };
}

class ArcThinner {
  private readonly arcs: ArcSet;
  private readonly taken: PointGrid;
  private readonly maxSpan: number;
  /** Neighbours of each point along its arc. */
  private readonly before: Int32Array;
  private readonly after: Int32Array;
  /** Place of each point in the queue; -1 where it is an end. */
  private readonly cost: Int32Array;
  private readonly isGone: Uint8Array;
  /** Points of one arc by cost: twice the area of the triangle in cells. */
  private readonly queue: number[][];
  /** Pairs of junctions that a straight line joins. */
  private readonly straightPairs = new Set<number>();

  constructor(arcs: ArcSet, options: SimplifyOptions) {
    this.arcs = arcs;
    this.taken = new PointGrid(options.width, options.height);
    this.maxSpan = options.maxSpanCells;
    this.before = arcs.x.map((_, point) => point - 1);
    this.after = arcs.x.map((_, point) => point + 1);
    this.cost = new Int32Array(arcs.x.length).fill(-1);
    this.isGone = new Uint8Array(arcs.x.length);
    const mostCost = Math.floor(options.cells ** 2);
    this.queue = Array.from({ length: mostCost + 1 }, () => []);
    for (let point = 0; point < arcs.x.length; point++) this.taken.add(arcs.x[point], arcs.y[point]);
    for (let arc = 0; arc < arcs.left.length; arc++) {
      if (arcs.pointStart[arc + 1] - arcs.pointStart[arc] === 2) this.straightPairs.add(this.pairOf(arc));
    }
  }

  /** Removes what may go from one arc and appends the points kept, ends included. */
  thin(arc: number, kept: number[]): void {
    const { pointStart, from } = this.arcs;
    const isClosed = from[arc] < 0;
    const last = pointStart[arc + 1] - 1;
    let first = pointStart[arc];
    if (isClosed) {
      this.before[first] = last - 1;
      this.after[last - 1] = first;
    }
    const begin = isClosed ? first : first + 1;
    if (last - begin >= LEAST_TURNS) this.removeCheapest(arc, begin, last);
    while (this.isGone[first]) first = this.after[first];
    let point = first;
    do {
      kept.push(point);
      point = this.after[point];
    } while (point !== first && point <= last);
    if (isClosed) kept.push(first);
  }

  private removeCheapest(arc: number, begin: number, end: number): void {
    const { from, to } = this.arcs;
    const isClosed = from[arc] < 0;
    let spare = end - begin - (isClosed ? 3 : 0) - (!isClosed && from[arc] === to[arc] ? 2 : 0);
    if (spare <= 0) return;
    for (let point = begin; point < end; point++) this.enqueue(arc, point, 0);
    for (let cost = 0; cost < this.queue.length; cost++) {
      const points = this.queue[cost];
      for (let next = 0; next < points.length && spare > 0; next++) {
        const point = points[next];
        if (this.isGone[point] || this.cost[point] !== cost || !this.isFree(point)) continue;
        if (!isClosed && from[arc] !== to[arc] && spare === 1 && !this.claimStraight(arc)) continue;
        spare--;
        this.remove(arc, point, cost);
      }
      points.length = 0;
    }
  }

  private remove(arc: number, point: number, cost: number): void {
    const before = this.before[point];
    const after = this.after[point];
    this.taken.delete(this.arcs.x[point], this.arcs.y[point]);
    this.isGone[point] = 1;
    this.after[before] = after;
    this.before[after] = before;
    if (this.cost[before] >= 0) this.enqueue(arc, before, cost);
    if (this.cost[after] >= 0) this.enqueue(arc, after, cost);
  }

  /** Puts a point where its triangle belongs in the queue, never before `least`, so that the order only rises. */
  private enqueue(arc: number, point: number, least: number): void {
    const { left, right } = this.arcs;
    const turn = this.turnAt(point);
    const isPromoting = turn !== 0 && (turn > 0 ? left[arc] < right[arc] : right[arc] < left[arc]);
    const cost = isPromoting ? this.queue.length : Math.max(least, Math.abs(turn));
    this.cost[point] = cost;
    if (cost < this.queue.length) this.queue[cost].push(point);
  }

  /** Twice the area of the triangle at a point: positive where the arc turns right, north up. */
  private turnAt(point: number): number {
    const { x, y } = this.arcs;
    const before = this.before[point];
    const after = this.after[point];
    return (x[point] - x[before]) * (y[after] - y[point]) - (y[point] - y[before]) * (x[after] - x[point]);
  }

  /** True where the line past a point is short enough and its triangle holds no other point. */
  private isFree(point: number): boolean {
    const { x, y } = this.arcs;
    const before = this.before[point];
    const after = this.after[point];
    const dx = x[after] - x[before];
    const dy = y[after] - y[before];
    if (dx !== 0 && dy !== 0 && dx * dx + dy * dy > this.maxSpan * this.maxSpan) return false;
    if (this.turnAt(point) === 0) return true;
    return !this.taken.hasInTriangle(x[before], y[before], x[point], y[point], x[after], y[after]);
  }

  /** Lets an arc become the straight line between its junctions, unless another arc is that line already. */
  private claimStraight(arc: number): boolean {
    const pair = this.pairOf(arc);
    if (this.straightPairs.has(pair)) return false;
    this.straightPairs.add(pair);
    return true;
  }

  private pairOf(arc: number): number {
    const { from, to, junctionCount } = this.arcs;
    return Math.min(from[arc], to[arc]) * junctionCount + Math.max(from[arc], to[arc]);
  }
}
