import { promisify } from "node:util";
import { deflate } from "node:zlib";

/** Cells along one side of a tile. */
export const RASTER_TILE = 256;

/** Fastest level: on Int16 layers deeper ones gain little after the predictor. */
const DEFLATE_LEVEL = 1;

export type RasterKind = "int16" | "uint16" | "uint8";
export type RasterValues = Int16Array | Uint16Array | Uint8Array;

/**
 * The compressed bytes of one tile, on zlib's own threads.
 * `rows` holds `height` (at most 256) rows of a raster `width` wide; the tile begins at `column`. What the raster does
 * not cover repeats the last value of its row, or is 0 below the last row.
 * Source: TIFF 6.0, section 14 (predictor 2: each sample less the one to its left, wrapping); Adobe Photoshop TIFF
 * Technical Notes, 2002 (compression 8).
 */
export function deflateTile(rows: RasterValues, width: number, height: number, column: number): Promise<Buffer> {
  const differences = createRaster(findKind(rows), RASTER_TILE * RASTER_TILE);
  const columns = Math.min(RASTER_TILE, width - column);
  for (let row = 0; row < height; row++) {
    const from = row * width + column;
    const to = row * RASTER_TILE;
    let before = 0;
    for (let index = 0; index < columns; index++) {
      const value = rows[from + index];
      differences[to + index] = value - before;
      before = value;
    }
  }
  const bytes = new Uint8Array(differences.buffer, differences.byteOffset, differences.byteLength);
  return promisify(deflate)(bytes, { level: DEFLATE_LEVEL });
}

export function findKind(values: RasterValues): RasterKind {
  if (values instanceof Int16Array) return "int16";
  return values instanceof Uint16Array ? "uint16" : "uint8";
}

export function createRaster(kind: RasterKind, length: number): RasterValues {
  if (kind === "int16") return new Int16Array(length);
  return kind === "uint16" ? new Uint16Array(length) : new Uint8Array(length);
}
