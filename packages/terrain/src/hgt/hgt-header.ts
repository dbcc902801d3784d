import type { RasterHeader } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";

/** Cells along a side: 3 and 1 arc second, the edges shared with the neighbours. */
const SIDES = [1201, 3601];

const ROWS_PER_BLOCK = 64;

/** File size of a tile with this many cells along a side, bytes. */
export const HGT_BYTES = SIDES.map((side) => 2 * side * side);

/** Returns the tile's name in the name of a file, such as N44W072; undefined where there is none. */
export function parseTileName(fileName: string): string | undefined {
  return /^([NS]\d\d[EW]\d{3})(\.[^/]*)?\.hgt(\.zip)?$/i.exec(fileName)?.[1]?.toUpperCase();
}

/**
 * Header of an .hgt tile: the file has none, so the name gives the corner and the length the size.
 * Big-endian int16, rows from the north, pixel-is-point. Source: SRTM Topography (USGS, SRTM_Topo.pdf), section 3.
 * Throws TerrainError `raster_refused`.
 */
export function buildHgtHeader(fileName: string, sizeBytes: number): RasterHeader {
  const name = parseTileName(fileName);
  if (!name) throw refuseRaster("the name does not give the corner, as in N44W072.hgt");
  const south = Number(name.slice(1, 3)) * (name[0] === "S" ? -1 : 1);
  const west = Number(name.slice(4)) * (name[3] === "W" ? -1 : 1);
  if (south < -90 || south > 89 || west < -180 || west > 179) {
    throw refuseRaster(`the corner ${name} does not lie on Earth`);
  }
  const side = SIDES[HGT_BYTES.indexOf(sizeBytes)];
  if (side === undefined) {
    throw refuseRaster(`${sizeBytes} bytes, but a tile has ${HGT_BYTES.join(" or ")}`);
  }
  const step = 1 / (side - 1);
  return {
    format: "hgt",
    pixelIs: "point",
    grid: { crs: 4326, x0: west, y0: south + 1, stepX: step, stepY: step, widthPx: side, heightPx: side },
    blocks: layOutRows(side),
    hasColours: false,
    noData: -32768,
  };
}

function layOutRows(side: number): RasterHeader["blocks"] {
  const count = Math.ceil(side / ROWS_PER_BLOCK);
  const bytesOfRows = (rows: number) => rows * side * 2;
  return {
    blockWidth: side,
    blockHeight: ROWS_PER_BLOCK,
    offsets: Float64Array.from({ length: count }, (_, block) => bytesOfRows(block * ROWS_PER_BLOCK)),
    byteCounts: Float64Array.from({ length: count }, (_, block) =>
      bytesOfRows(Math.min(ROWS_PER_BLOCK, side - block * ROWS_PER_BLOCK)),
    ),
    padded: false,
    compression: "none",
    predictor: 1,
    littleEndian: false,
    sampleType: "int16",
  };
}
