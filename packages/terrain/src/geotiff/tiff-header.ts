import type { CrsId } from "@fellmark/geodesy";
import { TerrainError } from "@fellmark/units";
import type { ByteSource } from "../raster/byte-source.ts";
import type { RasterGrid, RasterHeader } from "../raster/raster-header.ts";
import { readBlockLayout } from "./block-layout.ts";
import { readGeoKeys } from "./geo-keys.ts";
import { readTiffDirectories, type TiffDirectory } from "./tiff-directory.ts";

/** Tags of TIFF 6.0, OGC GeoTIFF 1.1 and GDAL (42112 metadata, 42113 no data). */
const NEW_SUBFILE_TYPE = 254;
const IMAGE_WIDTH = 256;
const IMAGE_HEIGHT = 257;
const PHOTOMETRIC = 262;
const ORIENTATION = 274;
const PIXEL_SCALE = 33550;
const TIEPOINT = 33922;
const TRANSFORMATION = 34264;
const METADATA = 42112;
const NO_DATA = 42113;

/** Tiles of global land cover have 36,000. */
const MAX_SIDE_PX = 40_000;
const MASK_BIT = 4;
const PALETTE = 3;
const MAX_METADATA_BYTES = 65_536;

/**
 * Checks a GeoTIFF from its structure up and gives what reading its first image needs. Reads no cell.
 * Every limit is checked before memory is taken. Throws TerrainError `raster_refused` or `raster_truncated`.
 */
export function readTiffHeader(source: ByteSource): RasterHeader {
  const directories = readTiffDirectories(source);
  if (directories.some((each) => (each.number(NEW_SUBFILE_TYPE, 0) & MASK_BIT) !== 0)) {
    throw refused("it has an internal mask; only a no-data value is supported");
  }
  const image = directories[0] as TiffDirectory;
  const size = readSize(image);
  const blocks = readBlockLayout(image, size, source.sizeBytes);
  const { crs, pixelIs } = readGeoKeys(image);
  refuseOtherHeights(image.text(METADATA, MAX_METADATA_BYTES) ?? "");
  return {
    format: "geotiff",
    pixelIs,
    grid: readGrid(image, size, crs, pixelIs),
    blocks,
    hasColours: image.number(PHOTOMETRIC, 1) === PALETTE,
    noData: readNoData(image),
  };
}

function readSize(image: TiffDirectory): { widthPx: number; heightPx: number } {
  const widthPx = image.number(IMAGE_WIDTH);
  const heightPx = image.number(IMAGE_HEIGHT);
  if (!(widthPx >= 1 && heightPx >= 1 && widthPx <= MAX_SIDE_PX && heightPx <= MAX_SIDE_PX)) {
    throw refused(`${widthPx} x ${heightPx} cells; a side has 1 to ${MAX_SIDE_PX}`);
  }
  if (image.number(ORIENTATION, 1) !== 1) throw refused("its first row is not the upper one");
  return { widthPx, heightPx };
}

/** Where the cell centres lie: a tie point gives a cell's corner where pixel is area, its centre where pixel is point. */
function readGrid(
  image: TiffDirectory,
  size: { widthPx: number; heightPx: number },
  crs: CrsId,
  pixelIs: "area" | "point",
): RasterGrid {
  const { x, y, stepX, stepY } = image.has(TRANSFORMATION) ? transformation(image) : tiepointAndScale(image);
  if (![x, y, stepX, stepY].every(Number.isFinite)) throw refused("its position is not a number");
  if (!(stepX > 0 && stepY > 0)) throw refused("its rows do not run north to south, or its columns not west to east");
  const half = pixelIs === "area" ? 0.5 : 0;
  return { crs, x0: x + half * stepX, y0: y - half * stepY, stepX, stepY, ...size };
}

function tiepointAndScale(image: TiffDirectory) {
  const [stepX, stepY] = image.numbers(PIXEL_SCALE, 3) as unknown as [number, number];
  const tie = image.numbers(TIEPOINT, 6);
  if (tie.length !== 6) throw refused("it has no single tie point");
  const [column, row, , x, y] = tie as unknown as [number, number, number, number, number];
  return { x: x - column * stepX, y: y + row * stepY, stepX, stepY };
}

function transformation(image: TiffDirectory) {
  const matrix = image.numbers(TRANSFORMATION, 16);
  if (matrix.length !== 16 || matrix[1] !== 0 || matrix[4] !== 0) throw refused("it is rotated");
  return { x: matrix[3] as number, y: matrix[7] as number, stepX: matrix[0] as number, stepY: -(matrix[5] as number) };
}

/** Heights in another unit, scaled or shifted, as GDAL's metadata declares them. */
function refuseOtherHeights(metadata: string): void {
  for (const [, role, value = ""] of metadata.matchAll(/role="(unittype|scale|offset)"[^>]*>([^<]*)</g)) {
    const plain =
      role === "unittype" ? /^(m|met(re|er)s?)?$/i.test(value.trim()) : Number(value) === (role === "scale" ? 1 : 0);
    if (!plain) throw refused(`heights are not plain metres (${role} ${JSON.stringify(value.slice(0, 40))})`);
  }
}

function readNoData(image: TiffDirectory): number | null {
  const text = image.text(NO_DATA, 64)?.trim();
  if (text === undefined || text === "") return null;
  const value = /^[-+]?nan$/i.test(text) ? Number.NaN : Number(text);
  if (Number.isNaN(value) && !/nan/i.test(text))
    throw refused(`its no-data value ${JSON.stringify(text)} is no number`);
  return value;
}

function refused(reason: string): TerrainError {
  return new TerrainError("raster_refused", reason);
}
