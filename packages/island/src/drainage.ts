import type { Grid } from "./grid.ts";

/** Drainage of a grid: every land cell drains to `receiver`, which comes before it in `order`. */
export interface Drainage {
  /** Land cells in order, from the sea upwards. */
  order: Int32Array;
  /** Neighbour to which each cell drains; a sea cell drains to itself. */
  receiver: Int32Array;
}

/** Neighbours as (column, row) steps, the four sides first. */
const STEPS = [1, 0, -1, 0, 0, 1, 0, -1, 1, 1, -1, 1, 1, -1, -1, -1];

/**
 * Computes drainage by flooding the land from the sea, lowest shore first (R. Barnes, C. Lehman, D. Mulla, "Priority-flood",
 * Computers & Geosciences 62, 2014, algorithm 1): the neighbour that floods a cell is its lowest, and a hollow drains
 * over its lowest rim. A cell of height 0 or less is sea; the border of the grid must be sea
 * that touches no land.
 */
export function computeDrainage(grid: Grid): Drainage {
  const { width, values } = grid;
  const receiver = new Int32Array(values.length).fill(-1);
  const order = new Int32Array(values.length);
  const queue = new LowestFirst(values.length);
  for (let cell = 0; cell < values.length; cell++) {
    if (values[cell] > 0) continue;
    receiver[cell] = cell;
    queue.push(0, cell);
  }
  let count = 0;
  while (queue.size > 0) {
    const levelM = queue.lowestKey();
    const cell = queue.pop();
    if (values[cell] > 0) order[count++] = cell;
    else if (isBorder(grid, cell)) continue;
    for (let step = 0; step < STEPS.length; step += 2) {
      const next = cell + STEPS[step] + STEPS[step + 1] * width;
      if (receiver[next] !== -1) continue;
      receiver[next] = cell;
      queue.push(Math.max(levelM, values[next] as number), next);
    }
  }
  return { order: order.subarray(0, count), receiver };
}

function isBorder({ width, height }: Grid, cell: number): boolean {
  const column = cell % width;
  const row = (cell - column) / width;
  return column === 0 || row === 0 || column === width - 1 || row === height - 1;
}

/** A binary heap of cells by key, lowest out first; equal keys leave in a fixed order. */
class LowestFirst {
  size = 0;
  readonly #keys: Float64Array;
  readonly #cells: Int32Array;

  constructor(capacity: number) {
    this.#keys = new Float64Array(capacity);
    this.#cells = new Int32Array(capacity);
  }

  lowestKey(): number {
    return this.#keys[0];
  }

  push(key: number, cell: number): void {
    let at = this.size++;
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (this.#keys[parent] <= key) break;
      this.#move(parent, at);
      at = parent;
    }
    this.#keys[at] = key;
    this.#cells[at] = cell;
  }

  pop(): number {
    const lowest = this.#cells[0];
    const last = --this.size;
    const key = this.#keys[last];
    let at = 0;
    for (let child = 1; child < last; child = 2 * at + 1) {
      if (child + 1 < last && this.#keys[child + 1] < this.#keys[child]) child++;
      if (this.#keys[child] >= key) break;
      this.#move(child, at);
      at = child;
    }
    this.#move(last, at);
    return lowest;
  }

  #move(from: number, to: number): void {
    this.#keys[to] = this.#keys[from];
    this.#cells[to] = this.#cells[from];
  }
}
