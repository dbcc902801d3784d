import { TerrainError } from "@fellmark/units";
import { filesOf, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import type { LonLatBox, TerrainFile } from "../catalogue/terrain-file.ts";
import type { TerrainKind } from "../catalogue/terrain-sets.ts";
import { intersection } from "../raster/raster-header.ts";
import type { CellArray } from "../raster/read-cells.ts";
import { sampleBilinear, sampleNearest } from "../sample/bilinear.ts";
import { cellsAround } from "../sample/control-grid.ts";
import { extentOf, type GridGroup, groupFiles, loadGroup } from "../sample/grid-group.ts";
import { kindOf } from "./read-window.ts";

/** 256 MB of heights. */
const MAX_CELLS = 64_000_000;

/** Points along each side of the area by which the cells to load are found. */
const BOX_POINTS = 17;

/** Ground heights of an area in the rasters' own grids, held in memory. */
export interface TerrainMosaic {
  bbox: LonLatBox;
  /** Height between the cells of the best raster that is known there; NaN where none is, and outside the area. */
  heightAmslM(lon: number, lat: number): number;
  /** Height of the cell in whose area the point lies, without interpolation. */
  nearestCellAmslM(lon: number, lat: number): number;
  /** The finest resolution in the area, metres; NaN where there is no raster. */
  stepM: number;
  kind: TerrainKind;
  filesUsed: TerrainFile[];
}

interface LoadedGroup {
  group: GridGroup;
  cells: CellArray;
}

/**
 * Loads the heights of an area from the sets asked for. East may pass 180; any turn of a longitude may be asked.
 * Throws InputError `terrain_set_unknown`, TerrainError `terrain_too_fine` when the area holds too many cells.
 */
export async function openMosaic(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  bbox: LonLatBox,
): Promise<TerrainMosaic> {
  const groups = groupFiles(filesOf(catalogue, sets), bbox);
  const loaded = await load(groups, bbox);
  const filesUsed = [...new Set(loaded.flatMap(({ group }) => group.members.map(({ file }) => file)))];
  const middle = (bbox[0] + bbox[2]) / 2;

  function firstKnown(lon: number, lat: number, sample: (from: LoadedGroup, col: number, row: number) => number) {
    const turned = lon - 360 * Math.round((lon - middle) / 360);
    for (const each of loaded) {
      const { crs, x0, y0, stepX, stepY } = each.group;
      const [x, y] = crs.project(turned, lat);
      const height = sample(each, (x - x0) / stepX, (y0 - y) / stepY);
      if (!Number.isNaN(height)) return height;
    }
    return Number.NaN;
  }

  return {
    bbox,
    heightAmslM: (lon, lat) => firstKnown(lon, lat, bilinear),
    nearestCellAmslM: (lon, lat) => firstKnown(lon, lat, nearest),
    stepM: filesUsed.length > 0 ? Math.min(...filesUsed.map((file) => file.resolutionM)) : Number.NaN,
    kind: kindOf(filesUsed),
    filesUsed,
  };
}

const bilinear = ({ cells, group }: LoadedGroup, col: number, row: number) => sampleBilinear(cells, group, col, row);
const nearest = ({ cells }: LoadedGroup, col: number, row: number) => sampleNearest(cells, col, row);

async function load(groups: readonly GridGroup[], bbox: LonLatBox): Promise<LoadedGroup[]> {
  const loaded: LoadedGroup[] = [];
  let heldCells = 0;
  for (const group of groups) {
    const around = cellsAround(positionsOver(group, bbox));
    const rect = around && intersection(around, extentOf(group));
    if (!rect) continue;
    heldCells += rect.width * rect.height;
    if (heldCells > MAX_CELLS) {
      throw new TerrainError("terrain_too_fine", `the area holds over ${MAX_CELLS} cells; ask for a smaller one`);
    }
    loaded.push({ group, cells: await loadGroup(group, rect) });
  }
  return loaded;
}

/** Positions in the group's grid of points spread over the area. */
function positionsOver({ crs, x0, y0, stepX, stepY }: GridGroup, [west, south, east, north]: LonLatBox) {
  const col = new Float64Array(BOX_POINTS * BOX_POINTS);
  const row = new Float64Array(BOX_POINTS * BOX_POINTS);
  for (let point = 0; point < col.length; point++) {
    const across = (point % BOX_POINTS) / (BOX_POINTS - 1);
    const up = Math.floor(point / BOX_POINTS) / (BOX_POINTS - 1);
    const [x, y] = crs.project(west + across * (east - west), south + up * (north - south));
    col[point] = (x - x0) / stepX;
    row[point] = (y0 - y) / stepY;
  }
  return { col, row };
}
