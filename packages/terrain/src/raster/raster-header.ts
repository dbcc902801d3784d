import type { CrsId } from "@fellmark/geodesy";

/** Storage type of the values of a raster. */
export type SampleType = "uint8" | "int16" | "uint16" | "float32" | "float64";

export const BYTES_PER_SAMPLE: Record<SampleType, number> = { uint8: 1, int16: 2, uint16: 2, float32: 4, float64: 8 };

export type Compression = "none" | "lzw" | "deflate" | "packbits" | "zstd";

/**
 * Position of the cells, north up. The centre of cell (column, row) is at
 * x = x0 + column * stepX, y = y0 - row * stepY, in units of the reference system; both steps are positive.
 * Pixel-is-area and pixel-is-point differ only in how the header gave x0 and y0.
 */
export interface RasterGrid {
  crs: CrsId;
  x0: number;
  y0: number;
  stepX: number;
  stepY: number;
  widthPx: number;
  heightPx: number;
}

/** The blocks (strips or tiles) of the cells, row-major, each stored on its own. */
export interface BlockLayout {
  blockWidth: number;
  blockHeight: number;
  /** Byte position and length of each block; a length of 0 marks a missing block, whose cells are not known. */
  offsets: Float64Array;
  byteCounts: Float64Array;
  /** Tiles are stored whole even where they pass the edge of the raster; the last strip is cut short. */
  padded: boolean;
  compression: Compression;
  /** TIFF tag 317: 1 none, 2 horizontal differences, 3 differences of floating-point bytes. */
  predictor: 1 | 2 | 3;
  littleEndian: boolean;
  sampleType: SampleType;
}

/** A checked header with everything that reading the cells needs. */
export interface RasterHeader {
  format: "hgt" | "hgt-zip" | "geotiff";
  pixelIs: "area" | "point";
  grid: RasterGrid;
  blocks: BlockLayout;
  /** True where the values are indices into a table of colours: codes, never heights. */
  hasColours: boolean;
  /** The value that the file itself declares as no data; null where it declares none. */
  noData: number | null;
}

/** A rectangle of cells of some grid. */
export interface CellRect {
  col: number;
  row: number;
  width: number;
  height: number;
}

/** Returns the part that two rectangles share; undefined where they do not meet. */
export function intersectRects(one: CellRect, other: CellRect): CellRect | undefined {
  const col = Math.max(one.col, other.col);
  const row = Math.max(one.row, other.row);
  const width = Math.min(one.col + one.width, other.col + other.width) - col;
  const height = Math.min(one.row + one.height, other.row + other.height) - row;
  return width > 0 && height > 0 ? { col, row, width, height } : undefined;
}
