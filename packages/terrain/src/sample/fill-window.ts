import { type LatticeWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { TerrainError } from "@fellmark/units";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import { type CellRect, intersectRects } from "../raster/raster-header.ts";
import type { CellArray, OutsideCells } from "../raster/read-cells.ts";
import type { RowPositions } from "./bilinear.ts";
import { boundWindow, buildControlGrid, interpolatePositions } from "./control-grid.ts";
import { computeExtent, type GridGroup, loadGroup } from "./grid-group.ts";
import { computeReadingLimit } from "./reading-limit.ts";

/** Most cells of a raster held at a time; a window over finer rasters is read in parts. */
const MAX_CELLS_AT_ONCE = 4_000_000;

/** The steps that turn cells of a raster into values of a window. */
export interface WindowSampling {
  /** Writes the values of a row into `out`, from index `at`, wherever `out` is still NaN. */
  sampleRow(cells: CellArray, group: GridGroup, positions: RowPositions, out: Float32Array, at: number): void;
  /** Changes the cells after they are read and before they are sampled. */
  prepare?(group: GridGroup, cells: CellArray): Promise<void>;
}

/** Returns the area of a window; east may pass 180 degrees. */
export function computeWindowBox({ zoom, col0, row0, width, height }: LatticeWindow): LonLatBox {
  return [
    toLongitudeDeg(col0, zoom),
    toLatitudeDeg(row0 + height, zoom),
    toLongitudeDeg(col0 + width, zoom),
    toLatitudeDeg(row0, zoom),
  ];
}

/**
 * Fills the cells of a window that are still NaN from the rasters of a group. Returns the number of cells of the rasters
 * that were left out because their values cannot be.
 * Throws TerrainError `terrain_too_fine` where a single cell of the window, or all of it, covers too many cells.
 */
export function fillWindow(
  group: GridGroup,
  window: LatticeWindow,
  out: Float32Array,
  sampling: WindowSampling,
): Promise<OutsideCells> {
  const { width, height } = window;
  requireReadable(group, window);
  const scratch: Scratch = { values: new Float32Array(0) };
  return fillPart(group, window, { col: 0, row: 0, width, height }, { ...sampling, out, scratch });
}

/** Refuses a window over more cells than files of their size may hold. */
function requireReadable(group: GridGroup, window: LatticeWindow): void {
  const around = boundWindow(buildControlGrid(group, window), window);
  if (!around) return;
  let cells = 0;
  const files: TerrainFile[] = [];
  for (const { file, rect } of group.members) {
    const shared = intersectRects(rect, around);
    if (!shared) continue;
    cells += shared.width * shared.height;
    files.push(file);
  }
  const limit = computeReadingLimit(files);
  if (cells <= limit) return;
  const names = files.length > 1 ? `${files[0].name} and ${files.length - 1} more` : files[0].name;
  const detail = `the area holds ${cells} cells of ${names}, more than ${limit}; make it smaller or the rasters coarser`;
  throw new TerrainError("terrain_too_fine", detail);
}

/** Memory for the cells of a part, used again by the next: parts follow each other faster than their memory is freed. */
interface Scratch {
  values: Float32Array;
}

/** The window's values, and how and where the parts are made. */
interface Filling extends WindowSampling {
  out: Float32Array;
  scratch: Scratch;
}

/** Fills one part of the window, split in two where too many cells would be read at a time. */
async function fillPart(
  group: GridGroup,
  window: LatticeWindow,
  part: CellRect,
  filling: Filling,
): Promise<OutsideCells> {
  const partWindow = {
    zoom: window.zoom,
    col0: window.col0 + part.col,
    row0: window.row0 + part.row,
    width: part.width,
    height: part.height,
  };
  const control = buildControlGrid(group, partWindow);
  const around = boundWindow(control, partWindow);
  const rect = around && computeExtent(group, around);
  if (!rect) return { low: 0, high: 0 };
  if (rect.width * rect.height > MAX_CELLS_AT_ONCE) return fillHalves(group, window, part, filling);
  const cells = await loadGroup(group, rect, { values: takeScratch(filling.scratch, rect.width * rect.height) });
  await filling.prepare?.(group, cells);
  const cols = new Float64Array(part.width);
  const rows = new Float64Array(part.width);
  for (let row = 0; row < part.height; row++) {
    interpolatePositions(control, partWindow.row0 + row, partWindow.col0, cols, rows);
    filling.sampleRow(cells, group, { cols, rows }, filling.out, (part.row + row) * window.width + part.col);
  }
  return cells.outside;
}

function takeScratch(scratch: Scratch, length: number): Float32Array {
  if (scratch.values.length < length) scratch.values = new Float32Array(Math.max(length, MAX_CELLS_AT_ONCE));
  return scratch.values.subarray(0, length);
}

async function fillHalves(
  group: GridGroup,
  window: LatticeWindow,
  part: CellRect,
  filling: Filling,
): Promise<OutsideCells> {
  if (part.width * part.height === 1) {
    throw new TerrainError("terrain_too_fine", `a cell of the area covers over ${MAX_CELLS_AT_ONCE} cells of a raster`);
  }
  const outside = { low: 0, high: 0 };
  for (const half of splitInHalf(part)) {
    const { low, high } = await fillPart(group, window, half, filling);
    outside.low += low;
    outside.high += high;
  }
  return outside;
}

function splitInHalf({ col, row, width, height }: CellRect): CellRect[] {
  if (width >= height) {
    const left = Math.ceil(width / 2);
    return [
      { col, row, width: left, height },
      { col: col + left, row, width: width - left, height },
    ];
  }
  const upper = Math.ceil(height / 2);
  return [
    { col, row, width, height: upper },
    { col, row: row + upper, width, height: height - upper },
  ];
}
