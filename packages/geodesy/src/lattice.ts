import { DEG_PER_RAD, RAD_PER_DEG } from "@fellmark/units";
import { WGS84_A_M } from "./ellipsoid.ts";

/** Cells along one side of a map tile. */
const TILE_CELLS = 256;

/** Latitude beyond which neither the lattice nor a mast may lie. The square EPSG:3857 map ends at 85.0511 degrees. */
export const MAX_LATITUDE_DEG = 85;

/** Ground size of a zoom 0 cell at the equator: 2 pi a / 256 = 156543.034 m. */
const EQUATOR_CELL_M = (2 * Math.PI * WGS84_A_M) / TILE_CELLS;

export interface LonLat {
  lon: number;
  lat: number;
}

/**
 * A rectangle of lattice cells (EPSG:3857, 256-cell tiles) at one zoom.
 * Cell (0, 0) is the north-west one and spans columns col0..col0+1 and rows row0..row0+1 of the world;
 * its centre lies at (col0 + 0.5, row0 + 0.5). Rasters on a window are row-major, north row first.
 * Columns are not wrapped: a window over the antimeridian runs past 256 * 2^zoom, or below 0.
 */
export interface LatticeWindow {
  zoom: number;
  col0: number;
  row0: number;
  width: number;
  height: number;
}

/** Returns the number of columns (and rows) of the whole world at a zoom. */
export function countWorldCells(zoom: number): number {
  return TILE_CELLS * 2 ** zoom;
}

/** Returns the ground size of a cell in metres: 156543.034 cos(lat) / 2^zoom. At 45 degrees and zoom 12 it is 27.0 m. */
export function computeCellSizeM(latitudeDeg: number, zoom: number): number {
  return (EQUATOR_CELL_M * Math.cos(latitudeDeg * RAD_PER_DEG)) / 2 ** zoom;
}

/** Returns the size of a cell in the units of EPSG:3857. */
export function computeProjectedCellSizeM(zoom: number): number {
  return EQUATOR_CELL_M / 2 ** zoom;
}

/** Returns the zoom whose cell at this latitude is nearest (in ratio) to the wanted ground size. */
export function chooseZoom(latitudeDeg: number, cellM: number): number {
  return Math.round(Math.log2(computeCellSizeM(latitudeDeg, 0) / cellM));
}

/** Returns the real-valued world column of a longitude. -180 is 0. */
export function toLatticeColumn(lonDeg: number, zoom: number): number {
  return ((lonDeg + 180) / 360) * countWorldCells(zoom);
}

/** Returns the real-valued world row of a latitude; rows grow southwards. */
export function toLatticeRow(latDeg: number, zoom: number): number {
  const sin = Math.sin(latDeg * RAD_PER_DEG);
  return (0.5 - Math.atanh(sin) / (2 * Math.PI)) * countWorldCells(zoom);
}

/** Returns the longitude of a real-valued world column; outside -180..180 where the column is not wrapped. */
export function toLongitudeDeg(column: number, zoom: number): number {
  return (column / countWorldCells(zoom)) * 360 - 180;
}

/** Returns the latitude of a real-valued world row. */
export function toLatitudeDeg(row: number, zoom: number): number {
  return Math.atan(Math.sinh(2 * Math.PI * (0.5 - row / countWorldCells(zoom)))) * DEG_PER_RAD;
}
