import type { ClassGrid } from "../tier-class.ts";

/** Directions of travel along cell edges, clockwise as seen with north up: +1 turns right, +3 turns left. */
export const EAST = 0;
export const SOUTH = 1;
export const WEST = 2;
export const NORTH = 3;

/** Label of everything beyond the raster's edge. */
const BEYOND = 255;

/**
 * The borders between faces of a raster, each held once and shared by the two faces beside it.
 * An arc runs along cell edges from junction to junction, or is closed and meets none. A junction is a raster corner
 * where three or more edges meet, or one of the raster's own four corners.
 * Coordinates count cells from the north-west corner, x to the east and y to the south.
 */
export interface ArcSet {
  /** Points of arc i: pointStart[i] .. pointStart[i + 1] - 1 of x and y; a closed arc repeats its first point. */
  pointStart: Int32Array;
  x: Int32Array;
  y: Int32Array;
  /** Labels of the faces to the left and right of each arc. */
  left: Uint8Array;
  right: Uint8Array;
  /** Junctions at the two ends; -1 where the arc is closed. */
  from: Int32Array;
  to: Int32Array;
  /** Directions of the arc's first and last cell edge. */
  fromDirection: Uint8Array;
  toDirection: Uint8Array;
  junctionCount: number;
}

const JUNCTION = 1;
const NORTH_WEST_TURN = 2;

/**
 * Traces the borders of a raster; the points are those where the border turns.
 * Cells of one label that share sides are one face; labels run from 1 to 254. The smaller, the more it promises.
 */
export function traceArcs(grid: ClassGrid): ArcSet {
  const labels = padLabels(grid);
  const marks = markCorners(grid, labels);
  const tracer = new ArcTracer(grid.width + 2, labels, marks);
  for (let at = 0; at < marks.length; at++) {
    if (marks[at] & JUNCTION) tracer.traceFromJunction(at);
  }
  for (let at = 0; at < marks.length; at++) {
    if (marks[at] === NORTH_WEST_TURN) tracer.traceClosed(at);
  }
  return tracer.arcs();
}

/** Labels with one cell of BEYOND on every side. */
function padLabels({ width, height, classes }: ClassGrid): Uint8Array {
  const stride = width + 2;
  const labels = new Uint8Array(stride * (height + 2)).fill(BEYOND);
  for (let row = 0; row < height; row++) {
    labels.set(classes.subarray(row * width, (row + 1) * width), (row + 1) * stride + 1);
  }
  return labels;
}

/**
 * Marks junctions, and the corners whose two edges lead east and south: every closed border has one, its northmost.
 * Corner (x, y) and the padded cell north-west of it share the index y * (width + 2) + x.
 */
function markCorners({ width, height }: ClassGrid, labels: Uint8Array): Uint8Array {
  const stride = width + 2;
  const marks = new Uint8Array(labels.length);
  for (let y = 0; y <= height; y++) {
    let at = y * stride;
    let northWest = labels[at];
    let southWest = labels[at + stride];
    for (let x = 0; x <= width; x++, at++) {
      const northEast = labels[at + 1];
      const southEast = labels[at + 1 + stride];
      if (northWest !== northEast || southWest !== southEast || northWest !== southWest) {
        const edges =
          Number(northWest !== northEast) +
          Number(northEast !== southEast) +
          Number(southEast !== southWest) +
          Number(southWest !== northWest);
        if (edges > 2) marks[at] = JUNCTION;
        else if (northWest === northEast && northWest === southWest) marks[at] = NORTH_WEST_TURN;
      }
      northWest = northEast;
      southWest = southEast;
    }
  }
  for (const corner of [0, width, height * stride, height * stride + width]) marks[corner] = JUNCTION;
  return marks;
}

class ArcTracer {
  private readonly stride: number;
  private readonly labels: Uint8Array;
  private readonly marks: Uint8Array;
  /** Index steps, and offsets from a corner to the cells left and right of the edge that leaves it, by direction. */
  private readonly step: number[];
  private readonly leftCell: number[];
  private readonly rightCell: number[];
  private readonly junctionAt = new Map<number, number>();
  /** Directions along which an arc already leaves or reaches a junction: bits, by junction. */
  private readonly taken: number[] = [];
  private readonly pointStart: number[] = [0];
  private readonly x: number[] = [];
  private readonly y: number[] = [];
  private readonly left: number[] = [];
  private readonly right: number[] = [];
  private readonly from: number[] = [];
  private readonly to: number[] = [];
  private readonly fromDirection: number[] = [];
  private readonly toDirection: number[] = [];

  constructor(stride: number, labels: Uint8Array, marks: Uint8Array) {
    this.stride = stride;
    this.labels = labels;
    this.marks = marks;
    this.step = [1, stride, -1, -stride];
    this.leftCell = [1, stride + 1, stride, 0];
    this.rightCell = [stride + 1, stride, 0, 1];
  }

  traceFromJunction(at: number): void {
    const junction = this.junctionOf(at);
    for (let direction = EAST; direction <= NORTH; direction++) {
      const isEdge = this.labels[at + this.leftCell[direction]] !== this.labels[at + this.rightCell[direction]];
      if (!isEdge || this.taken[junction] & (1 << direction)) continue;
      const { end, endDirection } = this.walk(at, direction);
      const to = this.junctionOf(end);
      this.taken[junction] |= 1 << direction;
      this.taken[to] |= 1 << ((endDirection + 2) & 3);
      this.from.push(junction);
      this.to.push(to);
    }
  }

  traceClosed(at: number): void {
    this.walk(at, EAST);
    this.from.push(-1);
    this.to.push(-1);
  }

  /** Walks from a corner to the next junction, or round to the same corner, and stores the turns on the way. */
  private walk(start: number, startDirection: number): { end: number; endDirection: number } {
    const { labels, marks, step, leftCell, rightCell } = this;
    const left = labels[start + leftCell[startDirection]];
    const right = labels[start + rightCell[startDirection]];
    let at = start;
    let direction = startDirection;
    this.addPoint(at);
    for (;;) {
      at += step[direction];
      if (at === start || marks[at] & JUNCTION) break;
      const aheadLeft = labels[at + leftCell[direction]];
      const aheadRight = labels[at + rightCell[direction]];
      if (aheadLeft === left && aheadRight === right) continue;
      direction = (direction + (aheadLeft === left ? 1 : 3)) & 3;
      marks[at] = 0;
      this.addPoint(at);
    }
    this.addPoint(at);
    marks[start] &= JUNCTION;
    this.pointStart.push(this.x.length);
    this.left.push(left);
    this.right.push(right);
    this.fromDirection.push(startDirection);
    this.toDirection.push(direction);
    return { end: at, endDirection: direction };
  }

  private addPoint(at: number): void {
    this.x.push(at % this.stride);
    this.y.push(Math.floor(at / this.stride));
  }

  private junctionOf(at: number): number {
    const known = this.junctionAt.get(at);
    if (known !== undefined) return known;
    const junction = this.taken.push(0) - 1;
    this.junctionAt.set(at, junction);
    return junction;
  }

  arcs(): ArcSet {
    return {
      pointStart: new Int32Array(this.pointStart),
      x: new Int32Array(this.x),
      y: new Int32Array(this.y),
      left: new Uint8Array(this.left),
      right: new Uint8Array(this.right),
      from: new Int32Array(this.from),
      to: new Int32Array(this.to),
      fromDirection: new Uint8Array(this.fromDirection),
      toDirection: new Uint8Array(this.toDirection),
      junctionCount: this.taken.length,
    };
  }
}
