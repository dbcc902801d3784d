import { findCrs } from "@fellmark/geodesy";
import { TerrainError } from "@fellmark/units";
import type { LonLatBox } from "../catalogue/terrain-file.ts";
import type { CellArray } from "../raster/read-cells.ts";
import { boundCells } from "./control-grid.ts";
import { type CellMemory, computeExtent, type GridGroup, loadGroup } from "./grid-group.ts";

/** Most cells of an area: 256 MB of values; for small files less, so that none of them can ask for much memory. */
const MAX_CELLS = 64_000_000;
const MAX_CELLS_OF_SMALL_FILES = 16_000_000;
const MAX_CELLS_PER_BYTE = 8;

/** Points along each side of the area by which the cells to load are found. */
const BOX_POINTS = 17;

/** A group and those of its cells that an area needs. */
export interface LoadedGroup {
  group: GridGroup;
  cells: CellArray;
}

/**
 * Loads the cells of groups that an area needs; groups that do not reach it are left out.
 * Throws TerrainError `terrain_too_fine` when the area holds too many cells.
 */
export async function loadArea(
  groups: readonly GridGroup[],
  bbox: LonLatBox,
  memory: CellMemory = "own",
): Promise<LoadedGroup[]> {
  const loaded: LoadedGroup[] = [];
  let heldCells = 0;
  let fileBytes = 0;
  for (const group of groups) {
    const around = boundCells(projectArea(group, bbox));
    const rect = around && computeExtent(group, around);
    if (!rect) continue;
    heldCells += rect.width * rect.height;
    fileBytes += group.members.reduce((sum, { file }) => sum + file.identity.sizeBytes, 0);
    const maxCells = Math.min(MAX_CELLS, Math.max(MAX_CELLS_OF_SMALL_FILES, MAX_CELLS_PER_BYTE * fileBytes));
    if (heldCells > maxCells) {
      throw new TerrainError("terrain_too_fine", `the area holds over ${maxCells} cells; ask for a smaller one`);
    }
    loaded.push({ group, cells: await loadGroup(group, rect, memory) });
  }
  return loaded;
}

/** Returns the degrees by which a longitude must be moved east to lie on the same turn of the world as the area. */
export function computeTurnDeg(lonDeg: number, [west, , east]: LonLatBox): number {
  return -360 * Math.round((lonDeg - (west + east) / 2) / 360);
}

/** Returns the positions in the group's grid of points spread over the area. */
function projectArea({ crs, x0, y0, stepX, stepY }: GridGroup, [west, south, east, north]: LonLatBox) {
  const { project } = findCrs(crs);
  const col = new Float64Array(BOX_POINTS * BOX_POINTS);
  const row = new Float64Array(BOX_POINTS * BOX_POINTS);
  for (let point = 0; point < col.length; point++) {
    const across = (point % BOX_POINTS) / (BOX_POINTS - 1);
    const up = Math.floor(point / BOX_POINTS) / (BOX_POINTS - 1);
    const [x, y] = project(west + across * (east - west), south + up * (north - south));
    col[point] = (x - x0) / stepX;
    row[point] = (y0 - y) / stepY;
  }
  return { col, row };
}
