import { encodeIndexedPng } from "@fellmark/picture";
import { TIER_CLASS, type TierPlan } from "@fellmark/tiers";
import type { LayerLevel, LayerRaster } from "../layer-raster.ts";
import { hasInk, type LayerClass, listLayerClasses } from "../look/layer-classes.ts";
import { cutCells, findLevel, TILE_CELLS, type TilePlace } from "./cut-cells.ts";

/** Pixels along one side of a picture tile. */
export type PictureSize = 256 | 512;

/** Opacity of a pattern's ink, 0 to 255. */
const INK_OPACITY = 200;

/** Returns a PNG of a tile, transparent outside, or null where it would be empty. */
export async function buildPictureTile(
  raster: LayerRaster,
  place: TilePlace,
  size: PictureSize,
): Promise<Uint8Array | null> {
  const level = findLevel(raster, place.z);
  const pixels = level && (size === TILE_CELLS ? cutCells(level, place, 0) : cutFinePixels(raster, level, place));
  return pixels ? paintPixels(raster.plans, pixels, size) : null;
}

/** Classes of 512 x 512 pixels: cells of the next finer level, or each cell of the finest as four pixels. */
function cutFinePixels(raster: LayerRaster, level: LayerLevel, place: TilePlace): Uint8Array | null {
  const finer = findLevel(raster, place.z + 1);
  const coarse = finer ? null : cutCells(level, place, 0);
  if (!finer && !coarse) return null;
  const pixels = new Uint8Array(4 * TILE_CELLS * TILE_CELLS).fill(TIER_CLASS.outside);
  let isEmpty = true;
  for (let quarter = 0; quarter < 4; quarter++) {
    const [right, down] = [quarter & 1, quarter >> 1];
    const quarterPlace = { z: place.z + 1, x: 2 * place.x + right, y: 2 * place.y + down };
    const cells = finer ? cutCells(finer, quarterPlace, 0) : coarse && enlargeQuarter(coarse, right, down);
    if (!cells) continue;
    isEmpty = false;
    for (let row = 0; row < TILE_CELLS; row++) {
      const to = (down * TILE_CELLS + row) * 2 * TILE_CELLS + right * TILE_CELLS;
      pixels.set(cells.subarray(row * TILE_CELLS, (row + 1) * TILE_CELLS), to);
    }
  }
  return isEmpty ? null : pixels;
}

function enlargeQuarter(cells: Uint8Array, right: number, down: number): Uint8Array {
  const half = TILE_CELLS / 2;
  return Uint8Array.from({ length: cells.length }, (_, pixel) => {
    const column = right * half + ((pixel % TILE_CELLS) >> 1);
    const row = down * half + (Math.floor(pixel / TILE_CELLS) >> 1);
    return cells[row * TILE_CELLS + column];
  });
}

/** Index of the palette at class * 64 + row * 8 + column of the pattern; 0 for what is not shown. */
function buildInkTable(classes: readonly LayerClass[]): Uint8Array {
  const table = new Uint8Array(256 * 64);
  for (const [index, one] of classes.entries()) {
    for (let at = 0; at < 64; at++) table[one.value * 64 + at] = 1 + 2 * index + Number(hasInk(one, at & 7, at >> 3));
  }
  return table;
}

/** Palette: transparent, then fill and ink of each class. Patterns go on from tile to tile: 8 divides their size. */
function paintPixels(plans: readonly TierPlan[], pixels: Uint8Array, size: number): Promise<Buffer> {
  const classes = listLayerClasses(plans);
  const inkIndex = buildInkTable(classes);
  const indices = new Uint8Array(pixels.length);
  for (let pixel = 0; pixel < pixels.length; pixel++) {
    const [x, y] = [pixel % size, Math.floor(pixel / size)];
    indices[pixel] = inkIndex[(pixels[pixel] << 6) | ((y & 7) << 3) | (x & 7)];
  }
  const palette = [[0, 0, 0] as (typeof classes)[0]["fill"], ...classes.flatMap(({ fill, ink }) => [fill, ink])];
  const opacities = [0, ...classes.flatMap(({ opacity }) => [Math.round(255 * opacity), INK_OPACITY])];
  return encodeIndexedPng(size, palette, indices, opacities);
}
