import { type LatticeWindow, latitudeOfRow, longitudeOfColumn } from "@fellmark/geodesy";
import { filesOf, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import type { TerrainKind } from "../catalogue/terrain-sets.ts";
import { type CellRect, intersection } from "../raster/raster-header.ts";
import { sampleRowBilinear } from "../sample/bilinear.ts";
import { cellsAround, controlGrid, positionsOfRow } from "../sample/control-grid.ts";
import { extentOf, type GridGroup, groupFiles, loadGroup } from "../sample/grid-group.ts";
import { countNotKnown } from "../sample/not-known.ts";
import { fillVoids } from "./fill-voids.ts";
import { type PlausibilityFlag, plausibilityFlags } from "./plausibility.ts";

/** Cells of a raster held at a time; a window over finer rasters is read in parts. */
const MAX_CELLS_AT_ONCE = 8_000_000;

export interface ReadWindowOptions {
  /** Fill small voids from the ground around them; those cells are counted in `filledCells`. */
  fillVoids: boolean;
}

/** Ground heights on a lattice window. */
export interface TerrainWindow {
  window: LatticeWindow;
  /** At cell centres, row-major, north row first, NaN where not known; shared memory. */
  heightsAmslM: Float32Array<SharedArrayBuffer>;
  /** Of the files used; "unknown" where they differ. */
  kind: TerrainKind;
  /** Every file that was looked at, highest priority first. */
  filesUsed: TerrainFile[];
  notKnownCells: number;
  filledCells: number;
  flags: PlausibilityFlag[];
}

/**
 * Reads the heights of a window from the sets asked for; where the best raster has a void, the next one is asked.
 * Throws InputError `terrain_set_unknown`, TerrainError when a file changed or its blocks are damaged.
 */
export async function readWindow(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  window: LatticeWindow,
  options: ReadWindowOptions,
): Promise<TerrainWindow> {
  const { width, height } = window;
  const heightsAmslM = new Float32Array(new SharedArrayBuffer(4 * width * height)).fill(Number.NaN);
  const filesUsed = new Set<TerrainFile>();
  let notKnownCells = width * height;
  for (const group of groupFiles(filesOf(catalogue, sets), boxOf(window))) {
    if (notKnownCells === 0) break;
    for (const { file } of group.members) filesUsed.add(file);
    await fillFromGroup(group, window, { col: 0, row: 0, width, height }, heightsAmslM);
    notKnownCells = countNotKnown(heightsAmslM);
  }
  const filledCells = options.fillVoids ? fillVoids(heightsAmslM, width, height) : 0;
  return {
    window,
    heightsAmslM,
    kind: kindOf(filesUsed),
    filesUsed: [...filesUsed],
    notKnownCells: notKnownCells - filledCells,
    filledCells,
    flags: plausibilityFlags(heightsAmslM),
  };
}

/** What the heights of several files stand on together. */
export function kindOf(files: Iterable<TerrainFile>): TerrainKind {
  const kinds = new Set(Array.from(files, (file) => file.kind));
  return kinds.size === 1 ? ([...kinds][0] as TerrainKind) : "unknown";
}

function boxOf({ zoom, col0, row0, width, height }: LatticeWindow): LonLatBox {
  return [
    longitudeOfColumn(col0, zoom),
    latitudeOfRow(row0 + height, zoom),
    longitudeOfColumn(col0 + width, zoom),
    latitudeOfRow(row0, zoom),
  ];
}

/** Fills the cells of one part of the window that are still NaN; cuts the part in two where too much must be read. */
async function fillFromGroup(
  group: GridGroup,
  window: LatticeWindow,
  part: CellRect,
  out: Float32Array,
): Promise<void> {
  const partWindow = {
    zoom: window.zoom,
    col0: window.col0 + part.col,
    row0: window.row0 + part.row,
    width: part.width,
    height: part.height,
  };
  const control = controlGrid(group, partWindow);
  const around = cellsAround(control);
  const rect = around && intersection(around, extentOf(group));
  if (!rect) return;
  if (rect.width * rect.height > MAX_CELLS_AT_ONCE && Math.max(part.width, part.height) > 1) {
    for (const half of halves(part)) await fillFromGroup(group, window, half, out);
    return;
  }
  const cells = await loadGroup(group, rect);
  const cols = new Float64Array(part.width);
  const rows = new Float64Array(part.width);
  for (let row = 0; row < part.height; row++) {
    positionsOfRow(control, partWindow.row0 + row, partWindow.col0, cols, rows);
    sampleRowBilinear(cells, group, { cols, rows }, out, (part.row + row) * window.width + part.col);
  }
}

function halves({ col, row, width, height }: CellRect): CellRect[] {
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
