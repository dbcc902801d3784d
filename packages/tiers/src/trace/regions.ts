import type { ClassGrid } from "../tier-class.ts";

/**
 * Regions: cells of one class joined over their sides (never over a corner), held as horizontal runs.
 * Run i covers columns start[i] .. end[i] - 1; the runs of row y are rowRuns[y] .. rowRuns[y + 1] - 1, west to east.
 */
export interface Regions {
  rowRuns: Int32Array;
  start: Int32Array;
  end: Int32Array;
  /** Region of each run: 0 .. count - 1, in the order of their first runs. */
  region: Int32Array;
  count: number;
}

/** The regions of the classes that are wanted. */
export function findRegions(grid: ClassGrid, isWanted: (tier: number) => boolean): Regions {
  const { rowRuns, start, end } = findRuns(grid, isWanted);
  const parent = start.map((_, run) => run);
  for (let row = 1; row < grid.height; row++) joinRows(grid, rowRuns, start, end, parent, row);
  let count = 0;
  const region = new Int32Array(parent.length);
  for (let run = 0; run < parent.length; run++) {
    const root = findRoot(parent, run);
    region[run] = root === run ? count++ : region[root];
  }
  return { rowRuns, start, end, region, count };
}

/** Region of a cell, which must lie in one. */
export function findRegion(regions: Regions, column: number, row: number): number {
  let low = regions.rowRuns[row];
  let high = regions.rowRuns[row + 1] - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (regions.end[middle] <= column) low = middle + 1;
    else high = middle;
  }
  return regions.region[low];
}

function findRuns({ width, height, classes }: ClassGrid, isWanted: (tier: number) => boolean) {
  const start: number[] = [];
  const end: number[] = [];
  const rowRuns = new Int32Array(height + 1);
  for (let row = 0; row < height; row++) {
    const base = row * width;
    for (let column = 0; column < width; ) {
      const first = column;
      const tier = classes[base + first];
      do column++;
      while (column < width && classes[base + column] === tier);
      if (!isWanted(tier)) continue;
      start.push(first);
      end.push(column);
    }
    rowRuns[row + 1] = start.length;
  }
  return { rowRuns, start: new Int32Array(start), end: new Int32Array(end) };
}

/** Unites the runs of a row with those of the same class that they touch in the row above. */
function joinRows(
  { width, classes }: ClassGrid,
  rowRuns: Int32Array,
  start: Int32Array,
  end: Int32Array,
  parent: Int32Array,
  row: number,
): void {
  let above = rowRuns[row - 1];
  let here = rowRuns[row];
  while (above < rowRuns[row] && here < rowRuns[row + 1]) {
    const touch = start[above] < end[here] && start[here] < end[above];
    if (touch && classes[(row - 1) * width + start[above]] === classes[row * width + start[here]]) {
      const rootAbove = findRoot(parent, above);
      const rootHere = findRoot(parent, here);
      parent[Math.max(rootAbove, rootHere)] = Math.min(rootAbove, rootHere);
    }
    if (end[above] < end[here]) above++;
    else here++;
  }
}

/** The first run of the region so far; halves the path on the way. */
function findRoot(parent: Int32Array, run: number): number {
  let at = run;
  while (parent[at] !== at) {
    parent[at] = parent[parent[at]];
    at = parent[at];
  }
  return at;
}
