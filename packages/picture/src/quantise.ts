import type { Rgb } from "./colour.ts";

/** Index of the nearest palette colour (in sRGB) of each pixel of four bytes; alpha is not looked at. */
export function findNearestIndices(rgba: Uint8ClampedArray, palette: readonly Rgb[]): Uint8Array {
  const indices = new Uint8Array(rgba.length / 4);
  const found = new Map<number, number>();
  for (const [index, [red, green, blue]] of palette.entries()) {
    const key = (red << 16) | (green << 8) | blue;
    if (!found.has(key)) found.set(key, index);
  }
  let lastKey = -1;
  let lastIndex = 0;
  for (let pixel = 0; pixel < indices.length; pixel++) {
    const key = (rgba[4 * pixel] << 16) | (rgba[4 * pixel + 1] << 8) | rgba[4 * pixel + 2];
    if (key !== lastKey) {
      lastKey = key;
      lastIndex = found.get(key) ?? findNearest(palette, key);
      found.set(key, lastIndex);
    }
    indices[pixel] = lastIndex;
  }
  return indices;
}

function findNearest(palette: readonly Rgb[], key: number): number {
  let best = 0;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (const [index, [red, green, blue]] of palette.entries()) {
    const distance = (red - (key >> 16)) ** 2 + (green - ((key >> 8) & 255)) ** 2 + (blue - (key & 255)) ** 2;
    if (distance < bestDistance) {
      best = index;
      bestDistance = distance;
    }
  }
  return best;
}
