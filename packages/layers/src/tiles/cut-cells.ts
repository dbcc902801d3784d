import { countWorldCells } from "@fellmark/geodesy";
import { TIER_CLASS } from "@fellmark/tiers";
import type { LayerLevel, LayerRaster } from "../layer-raster.ts";

/** Cells along one side of a tile at the zoom of its level. */
export const TILE_CELLS = 256;

/** Place of a map tile: x to the east and y to the south, from 180 degrees west and the north of EPSG:3857. */
export interface TilePlace {
  z: number;
  x: number;
  y: number;
}

export function findLevel({ levels }: LayerRaster, zoom: number): LayerLevel | undefined {
  return levels.find(({ window }) => window.zoom === zoom);
}

/** True where the matrix of the zoom has such a tile. Source: OGC 17-083r4, annex D.1, WebMercatorQuad. */
export function isTilePlace({ z, x, y }: TilePlace): boolean {
  return z >= 0 && x >= 0 && y >= 0 && x < 2 ** z && y < 2 ** z;
}

/**
 * Returns the classes of a tile's cells with `margin` cells on each side, or null where all of them are outside.
 * Columns go on over the antimeridian; beyond the world's north and south there is nothing.
 */
export function cutCells({ window, classes }: LayerLevel, { x, y }: TilePlace, margin: number): Uint8Array | null {
  const side = TILE_CELLS + 2 * margin;
  const world = countWorldCells(window.zoom);
  const cut = new Uint8Array(side * side).fill(TIER_CLASS.outside);
  let isEmpty = true;
  for (let row = 0; row < side; row++) {
    const from = (y * TILE_CELLS - margin + row - window.row0) * window.width;
    if (from < 0 || from >= classes.length) continue;
    for (let column = 0; column < side; column++) {
      const offset = (x * TILE_CELLS - margin + column - window.col0) % world;
      const inWindow = offset < 0 ? offset + world : offset;
      if (inWindow >= window.width) continue;
      const tier = classes[from + inWindow];
      cut[row * side + column] = tier;
      if (tier !== TIER_CLASS.outside) isEmpty = false;
    }
  }
  return isEmpty ? null : cut;
}
