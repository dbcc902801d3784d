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
  const north = y * TILE_CELLS - margin - window.row0;
  for (let turn = -1; turn <= 1; turn++) {
    // Where the tile begins in the window, for each turn of the world.
    const west = x * TILE_CELLS - margin - window.col0 + turn * world;
    const [first, end] = [Math.max(0, -west), Math.min(side, window.width - west)];
    if (first >= end) continue;
    for (let row = Math.max(0, -north); row < Math.min(side, window.height - north); row++) {
      const from = (north + row) * window.width + west;
      cut.set(classes.subarray(from + first, from + end), row * side + first);
    }
  }
  return cut.every((tier) => tier === TIER_CLASS.outside) ? null : cut;
}
