import { type CrsId, findCrs } from "@fellmark/geodesy";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import { type CellRect, intersectRects } from "../raster/raster-header.ts";
import { type CellArray, type OutsideCells, readCells } from "../raster/read-cells.ts";

/** Two grids count as one where their cells differ by less than this share of a cell. */
const SAME_CELL = 0.01;

/** Margin for bounding boxes: one of a raster in another reference system is slightly wrong along its curved sides. */
const BOX_MARGIN_DEG = 0.01;

/** A raster of a group; its rectangle is counted in the cells of the group. */
export interface GroupMember {
  file: TerrainFile;
  rect: CellRect;
}

/**
 * Rasters of one set whose cells lie on one grid, so that interpolation runs across their seams whether they share an
 * edge column or only abut. The centre of cell (column, row) is at x0 + column * stepX, y0 - row * stepY.
 */
export interface GridGroup {
  set: string;
  crs: CrsId;
  x0: number;
  y0: number;
  stepX: number;
  stepY: number;
  /** Highest priority first. */
  members: GroupMember[];
}

/**
 * Groups the files that touch an area by their grids, highest priority first. A raster that the area meets on another
 * turn of the world (across the antimeridian) is placed on that turn.
 */
export function groupFiles(files: readonly TerrainFile[], area: LonLatBox): GridGroup[] {
  const groups: GridGroup[] = [];
  for (const file of files) {
    const { periodX } = findCrs(file.crs);
    const turns = findTurns(file.bbox, area);
    if (periodX === null) {
      if (turns.length > 0) joinGroup(groups, file, 0);
    } else {
      for (const turn of turns) joinGroup(groups, file, turn * periodX);
    }
  }
  return groups;
}

/** Returns every number of whole turns by which a box must be moved east to meet an area. */
function findTurns([west, south, east, north]: LonLatBox, area: LonLatBox): number[] {
  const margin = BOX_MARGIN_DEG;
  if (south - margin > area[3] || north + margin < area[1]) return [];
  const first = Math.ceil((area[0] - east - margin) / 360);
  const last = Math.floor((area[2] - west + margin) / 360);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, index) => first + index);
}

function joinGroup(groups: GridGroup[], file: TerrainFile, shiftX: number): void {
  const { stepX, stepY, widthPx, heightPx } = file.header.grid;
  const x0 = file.header.grid.x0 + shiftX;
  const y0 = file.header.grid.y0;
  for (const group of groups) {
    const col = Math.round((x0 - group.x0) / group.stepX);
    const row = Math.round((group.y0 - y0) / group.stepY);
    const off = Math.max(
      Math.abs(group.x0 + col * group.stepX - x0) / stepX,
      Math.abs(group.y0 - row * group.stepY - y0) / stepY,
      Math.abs(stepX / group.stepX - 1) * widthPx,
      Math.abs(stepY / group.stepY - 1) * heightPx,
    );
    if (group.set === file.set && group.crs === file.crs && off < SAME_CELL) {
      group.members.push({ file, rect: { col, row, width: widthPx, height: heightPx } });
      return;
    }
  }
  const rect = { col: 0, row: 0, width: widthPx, height: heightPx };
  groups.push({ set: file.set, crs: file.crs, x0, y0, stepX, stepY, members: [{ file, rect }] });
}

/** Returns the smallest rectangle around those parts of the members that lie in an area; undefined where none does. */
export function computeExtent(group: GridGroup, area: CellRect): CellRect | undefined {
  const members = group.members.flatMap(({ rect }) => intersectRects(rect, area) ?? []);
  if (members.length === 0) return undefined;
  const col = Math.min(...members.map(({ col }) => col));
  const row = Math.min(...members.map(({ row }) => row));
  const width = Math.max(...members.map((rect) => rect.col + rect.width)) - col;
  const height = Math.max(...members.map((rect) => rect.row + rect.height)) - row;
  return { col, row, width, height };
}

/**
 * The memory of cells: this thread's own, shared with other threads, or given. V8 does not count shared memory, so data that is
 * read once must not lie there: garbage would accumulate.
 */
export type CellMemory = "own" | "shared" | { values: Float32Array };

/** Cells of a group, and the number of cells that were left out because their values cannot be. */
export interface LoadedCells extends CellArray {
  outside: OutsideCells;
}

/** Reads the cells of a rectangle of a group from every member that meets it. */
export async function loadGroup(group: GridGroup, rect: CellRect, memory: CellMemory = "own"): Promise<LoadedCells> {
  const values = typeof memory === "object" ? memory.values : allocateCells(rect.width * rect.height, memory);
  const cells = { rect, values: values.fill(Number.NaN), outside: { low: 0, high: 0 } };
  for (const { file, rect: place } of group.members) {
    if (!intersectRects(place, rect)) continue;
    const { low, high } = await readCells(file, place, cells);
    cells.outside.low += low;
    cells.outside.high += high;
  }
  return cells;
}

function allocateCells(count: number, memory: "own" | "shared"): Float32Array {
  return new Float32Array(memory === "shared" ? new SharedArrayBuffer(4 * count) : new ArrayBuffer(4 * count));
}
