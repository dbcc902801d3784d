import { findCrs } from "@fellmark/geodesy";
import { computeLonLatBox, type LonLatBox, type TerrainFile } from "../catalogue/terrain-file.ts";
import { toTreeHeightM } from "../clutter/resolve-clutter.ts";
import type { CellRect } from "../raster/raster-header.ts";
import type { CellArray } from "../raster/read-cells.ts";
import { type ControlGrid, interpolatePositions, projectNodes } from "../sample/control-grid.ts";
import { type GridGroup, groupFiles } from "../sample/grid-group.ts";
import { type LoadedGroup, loadArea } from "../sample/load-area.ts";
import { sampleRowNearest } from "../sample/nearest.ts";

/** Most canopy samples across a surface cell, in each direction, of which the mean is taken. */
const MAX_SAMPLES_ACROSS = 4;

/** Approximate number of canopy cells along a side that are held at a time. */
const TILE_CANOPY_CELLS = 2000;
const TILE_CELLS: [number, number] = [16, 512];

/** Cells between control nodes, and the greatest distance between them, m. */
const NODE_CELLS = 16;
const NODE_M = 2000;

/**
 * Lowers the cells of a surface raster by the mean canopy over each, so that they become bare ground; rasters of other
 * kinds stay as they are. The surface also stays where the canopy is not known: clutter counts as not known there.
 */
export async function subtractCanopy(
  group: GridGroup,
  cells: CellArray,
  canopy: readonly TerrainFile[],
): Promise<void> {
  const surface = (group.members[0] as GridGroup["members"][0]).file;
  if (surface.kind !== "surface" || canopy.length === 0) return;
  const ratio = surface.resolutionM / Math.min(...canopy.map((file) => file.resolutionM));
  const side = Math.min(TILE_CELLS[1], Math.max(TILE_CELLS[0], Math.floor(TILE_CANOPY_CELLS / ratio)));
  const samples = Math.min(MAX_SAMPLES_ACROSS, Math.max(1, Math.round(ratio)));
  const { col, row, width, height } = cells.rect;
  for (let down = 0; down < height; down += side) {
    for (let right = 0; right < width; right += side) {
      const tile = { col: col + right, row: row + down, width: side, height: side };
      tile.width = Math.min(side, width - right);
      tile.height = Math.min(side, height - down);
      await lowerTile(group, cells, tile, canopy, { samples, step: chooseCanopyNodeStep(surface) });
    }
  }
}

function chooseCanopyNodeStep({ resolutionM }: TerrainFile): number {
  return Math.max(1, Math.min(NODE_CELLS, Math.floor(NODE_M / resolutionM)));
}

async function lowerTile(
  group: GridGroup,
  { rect, values }: CellArray,
  tile: CellRect,
  canopy: readonly TerrainFile[],
  { samples, step }: { samples: number; step: number },
): Promise<void> {
  const box = computeCellBox(group, tile);
  const layers = (await loadArea(groupFiles(canopy, box), box)).map((layer) => ({
    ...layer,
    nodes: projectNodes(layer.group, addRim(tile), step, createCentreFinder(group, box)),
  }));
  if (layers.length === 0) return;
  const meanM = new Float32Array(tile.width);
  for (let row = tile.row; row < tile.row + tile.height; row++) {
    averageCanopy(layers, { ...tile, row, height: 1 }, samples, meanM);
    const first = (row - rect.row) * rect.width + tile.col - rect.col;
    for (let column = 0; column < tile.width; column++) {
      const heightM = meanM[column] as number;
      if (!Number.isNaN(heightM)) values[first + column] = (values[first + column] as number) - heightM;
    }
  }
}

/** Writes the mean canopy of each cell of one row over its known samples of `samples` x `samples`; NaN where none is known. */
function averageCanopy(
  layers: readonly (LoadedGroup & { nodes: ControlGrid })[],
  { col, row, width }: CellRect,
  samples: number,
  meanM: Float32Array,
): void {
  const positions = { cols: new Float64Array(width), rows: new Float64Array(width) };
  const at = new Float32Array(width);
  const known = new Uint8Array(width);
  meanM.fill(0);
  for (let sample = 0; sample < samples * samples; sample++) {
    const right = ((sample % samples) + 0.5) / samples - 0.5;
    const down = (Math.floor(sample / samples) + 0.5) / samples - 0.5;
    at.fill(Number.NaN);
    for (const { group, cells, nodes } of layers) {
      interpolatePositions(nodes, row + down, col + right, positions.cols, positions.rows);
      sampleRowNearest(cells, group, positions, at, 0);
    }
    for (let column = 0; column < width; column++) {
      const heightM = toTreeHeightM(at[column] as number);
      if (Number.isNaN(heightM)) continue;
      meanM[column] = (meanM[column] as number) + heightM;
      known[column] = (known[column] as number) + 1;
    }
  }
  for (let column = 0; column < width; column++) meanM[column] = (meanM[column] as number) / (known[column] as number);
}

/** Adds a cell on each side: samples lie up to half a cell from the centres. */
function addRim({ col, row, width, height }: CellRect): CellRect {
  return { col: col - 1, row: row - 1, width: width + 2, height: height + 2 };
}

function computeCellBox({ crs, x0, y0, stepX, stepY }: GridGroup, { col, row, width, height }: CellRect): LonLatBox {
  const grid = { crs, x0: x0 + col * stepX, y0: y0 - row * stepY, stepX, stepY, widthPx: width, heightPx: height };
  return computeLonLatBox(grid);
}

/** Returns a function for longitude and latitude of cell centres, on the same turn of the world as the box. */
function createCentreFinder({ crs, x0, y0, stepX, stepY }: GridGroup, [west]: LonLatBox) {
  const { unproject } = findCrs(crs);
  return (col: number, row: number): [number, number] => {
    const [lon, lat] = unproject(x0 + col * stepX, y0 - row * stepY);
    return [lon - 360 * Math.round((lon - west) / 360), lat];
  };
}
