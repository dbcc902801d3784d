import { countWorldCells, type LatticeWindow, type LonLat, toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";

/** Cell of a window that holds a place, or -1 where the window does not reach it. */
export function findCellOfPlace({ zoom, col0, row0, width, height }: LatticeWindow, { lon, lat }: LonLat): number {
  const world = countWorldCells(zoom);
  const column = (((Math.floor(toLatticeColumn(lon, zoom)) - col0) % world) + world) % world;
  const row = Math.floor(toLatticeRow(lat, zoom)) - row0;
  return column < width && row >= 0 && row < height ? row * width + column : -1;
}
