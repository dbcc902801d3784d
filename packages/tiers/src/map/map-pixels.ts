import { TIER_CLASS } from "../tier-class.ts";

/** A raster fitted to a picture whose pixels are square: each covers the cells from its start to its end. */
export interface PixelFrame {
  widthPx: number;
  heightPx: number;
  cellsPerPixel: number;
  /** Columns of the raster, and first and end column under each pixel column; likewise rows. */
  width: number;
  columnStart: Int32Array;
  columnEnd: Int32Array;
  rowStart: Int32Array;
  rowEnd: Int32Array;
}

export function createPixelFrame(width: number, height: number, widthPx: number): PixelFrame {
  const cellsPerPixel = width / widthPx;
  const heightPx = Math.max(1, Math.round(height / cellsPerPixel));
  const starts = (pixels: number, cells: number) =>
    Int32Array.from({ length: pixels }, (_, pixel) => Math.min(cells - 1, Math.floor(pixel * cellsPerPixel)));
  const ends = (pixels: number, cells: number) =>
    Int32Array.from({ length: pixels }, (_, pixel) => {
      const next = Math.floor((pixel + 1) * cellsPerPixel);
      return Math.min(cells, Math.max(next, Math.floor(pixel * cellsPerPixel) + 1));
    });
  return {
    widthPx,
    heightPx,
    cellsPerPixel,
    width,
    columnStart: starts(widthPx, width),
    columnEnd: ends(widthPx, width),
    rowStart: starts(heightPx, height),
    rowEnd: ends(heightPx, height),
  };
}

/** The most frequent class under each pixel; of equals the one that promises less. */
export function pickClassPixels(frame: PixelFrame, classes: Uint8Array): Uint8Array {
  const { widthPx, heightPx, width, columnStart, columnEnd, rowStart, rowEnd } = frame;
  const pixels = new Uint8Array(widthPx * heightPx);
  const votes = new Int32Array(256);
  for (let y = 0; y < heightPx; y++) {
    for (let x = 0; x < widthPx; x++) {
      let best = classes[rowStart[y] * width + columnStart[x]];
      for (let row = rowStart[y]; row < rowEnd[y]; row++) {
        for (let column = columnStart[x]; column < columnEnd[x]; column++) {
          const tier = classes[row * width + column];
          const lead = ++votes[tier] - votes[best];
          if (lead > 0 || (lead === 0 && doesPromiseLess(tier, best))) best = tier;
        }
      }
      pixels[y * widthPx + x] = best;
      for (let row = rowStart[y]; row < rowEnd[y]; row++) {
        for (let column = columnStart[x]; column < columnEnd[x]; column++) votes[classes[row * width + column]] = 0;
      }
    }
  }
  return pixels;
}

/** True for a class that promises less than another: no service least, then not known, then plans from the last. */
function doesPromiseLess(tier: number, other: number): boolean {
  if (tier === TIER_CLASS.noService || other === TIER_CLASS.noService) return other !== TIER_CLASS.noService;
  return tier > other;
}

/** Mean of the known heights under each pixel, NaN where there is none. */
export function averageHeightPixels(frame: PixelFrame, heightsM: Float32Array): Float32Array {
  const { widthPx, heightPx, width, columnStart, columnEnd, rowStart, rowEnd } = frame;
  const pixels = new Float32Array(widthPx * heightPx);
  for (let pixel = 0; pixel < pixels.length; pixel++) {
    const x = pixel % widthPx;
    const y = (pixel - x) / widthPx;
    let sum = 0;
    let count = 0;
    for (let row = rowStart[y]; row < rowEnd[y]; row++) {
      for (let column = columnStart[x]; column < columnEnd[x]; column++) {
        const heightM = heightsM[row * width + column];
        if (Number.isNaN(heightM)) continue;
        sum += heightM;
        count++;
      }
    }
    pixels[pixel] = count === 0 ? Number.NaN : sum / count;
  }
  return pixels;
}
