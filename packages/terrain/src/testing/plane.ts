import { fitWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import type { TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import { readWindow, type TerrainWindow } from "../elevation/read-window.ts";
import { makeGeoTiff, type RasterSpec } from "./tiff-maker.ts";

/** A plane over longitude and latitude, known to the raster at its cell centres only. */
export const plane = (lon: number, lat: number) => 500 + 300 * (lon - 10) - 200 * (lat - 46);

export interface Piece {
  /** North-west corner of the area that the cells cover. */
  west: number;
  north: number;
  step?: number;
  side?: number;
  height?: (lon: number, lat: number) => number;
}

/** A square geographic raster; by default a tenth of a degree wide. */
export function makePiece(
  { west, north, step = 0.001, side = 100, height = plane }: Piece,
  more: Partial<RasterSpec> = {},
): Buffer {
  return makeGeoTiff({
    epsg: 4326,
    x: west,
    y: north,
    step,
    widthPx: side,
    heightPx: side,
    noData: "-9999",
    value: (column, row) => {
      const value = height(west + (column + 0.5) * step, north - (row + 0.5) * step);
      return Number.isNaN(value) ? -9999 : value;
    },
    ...more,
  });
}

export const WINDOW = fitWindow([{ lon: 10.05, lat: 45.95 }], 3000, 11);

export const readTerrain = (catalogue: TerrainCatalogue, window = WINDOW, sets = ["default"], fillVoids = false) =>
  readWindow(catalogue, sets, window, { fillVoids });

/** Calls `look` with each cell's centre and height. */
export function forEachCell(
  { window, heightsAmslM }: TerrainWindow,
  look: (lon: number, lat: number, heightM: number) => void,
) {
  heightsAmslM.forEach((heightM, cell) => {
    const lon = toLongitudeDeg(window.col0 + (cell % window.width) + 0.5, window.zoom);
    const lat = toLatitudeDeg(window.row0 + Math.floor(cell / window.width) + 0.5, window.zoom);
    look(lon, lat, heightM);
  });
}

/** Cells whose height is not the wanted one within 0.01 m; NaN is wanted where the ground is not to be known. */
export function countCellsOff(read: TerrainWindow, wanted: (lon: number, lat: number) => number): number {
  let off = 0;
  forEachCell(read, (lon, lat, heightM) => {
    const want = wanted(lon, lat);
    if (Number.isNaN(want) ? !Number.isNaN(heightM) : !(Math.abs(heightM - want) < 0.01)) off++;
  });
  return off;
}

export function findWorstDifference(read: TerrainWindow, height: (lon: number, lat: number) => number): number {
  let worst = 0;
  forEachCell(read, (lon, lat, heightM) => {
    worst = Math.max(worst, Math.abs(heightM - height(lon, lat)));
  });
  return worst;
}
