import type { GeoTIFFImage } from "geotiff";
import type { ByteSource } from "../raster/byte-source.ts";
import type { RasterGrid, RasterHeader } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { readBlockLayout } from "./block-layout.ts";
import { readGeoReference } from "./geo-keys.ts";
import { type CheckedDirectory, checkDirectories } from "./tiff-guard.ts";
import { openTiffImage, readGeoKeys, readNumbers, readText } from "./tiff-image.ts";
import { TAG } from "./tiff-tags.ts";

/** Most cells along a side; tiles of global land cover have 36,000. */
const MAX_SIDE_PX = 40_000;
const MASK_BIT = 4;
const PALETTE = 3;

/**
 * Checks a GeoTIFF and returns the header of its first image. Reads no cell.
 * Every limit is checked before memory is taken and before the library sees the file.
 * Throws TerrainError `raster_refused` or `raster_truncated`.
 */
export async function readTiffHeader(source: ByteSource): Promise<RasterHeader> {
  const directories = checkDirectories(source);
  if (directories.some((each) => (each.read(TAG.newSubfileType, 0) & MASK_BIT) !== 0)) {
    throw refuseRaster("it has an internal mask; only a no-data value is supported");
  }
  const first = directories[0] as CheckedDirectory;
  const size = readSize(first);
  const blocks = readBlockLayout(first, size, source.sizeBytes);
  const image = await openTiffImage(source, { ...size, blocks });
  const keys = await readGeoKeys(image);
  if (!keys) throw refuseRaster("no coordinate reference system");
  const { crs, pixelIs } = readGeoReference(keys);
  refuseOtherHeights((await readText(image, TAG.gdalMetadata)) ?? "");
  return {
    format: "geotiff",
    pixelIs,
    grid: { crs, ...(await readPlacement(image, pixelIs)), ...size },
    blocks,
    hasColours: (await readNumbers(image, TAG.photometric))?.[0] === PALETTE,
    noData: parseNoData(await readText(image, TAG.gdalNoData)),
  };
}

function readSize(image: CheckedDirectory): { widthPx: number; heightPx: number } {
  const widthPx = image.read(TAG.imageWidth);
  const heightPx = image.read(TAG.imageHeight);
  if (!(widthPx >= 1 && heightPx >= 1 && widthPx <= MAX_SIDE_PX && heightPx <= MAX_SIDE_PX)) {
    throw refuseRaster(`${widthPx} x ${heightPx} cells; a side has 1 to ${MAX_SIDE_PX}`);
  }
  if (image.read(TAG.orientation, 1) !== 1) throw refuseRaster("its first row is not the upper one");
  return { widthPx, heightPx };
}

type Placement = Pick<RasterGrid, "x0" | "y0" | "stepX" | "stepY">;

/** Reads the position of the cell centres. A tie point is a cell's corner where pixel is area, its centre where pixel is point. */
async function readPlacement(image: GeoTIFFImage, pixelIs: "area" | "point"): Promise<Placement> {
  const matrix = await readNumbers(image, TAG.transformation);
  const { x0, y0, stepX, stepY } = matrix ? toPlacement(matrix) : await readTiePoint(image);
  if (![x0, y0, stepX, stepY].every(Number.isFinite)) throw refuseRaster("its position is not a number");
  if (!(stepX > 0 && stepY > 0))
    throw refuseRaster("its rows do not run north to south, or its columns not west to east");
  const half = pixelIs === "area" ? 0.5 : 0;
  return { x0: x0 + half * stepX, y0: y0 - half * stepY, stepX, stepY };
}

async function readTiePoint(image: GeoTIFFImage): Promise<Placement> {
  const [stepX = Number.NaN, stepY = Number.NaN] = (await readNumbers(image, TAG.pixelScale)) ?? [];
  const tie = await readNumbers(image, TAG.tiePoint);
  if (tie?.length !== 6) throw refuseRaster("it needs one tie point of 6 numbers");
  const [column, row, , x, y] = tie as unknown as [number, number, number, number, number];
  return { x0: x - column * stepX, y0: y + row * stepY, stepX, stepY };
}

function toPlacement(matrix: Float64Array): Placement {
  if (matrix.length !== 16 || matrix[1] !== 0 || matrix[4] !== 0) throw refuseRaster("it is rotated");
  return {
    x0: matrix[3] as number,
    y0: matrix[7] as number,
    stepX: matrix[0] as number,
    stepY: -(matrix[5] as number),
  };
}

/** Refuses heights that GDAL's metadata declares as scaled, shifted or in another unit than metres. */
function refuseOtherHeights(metadata: string): void {
  for (const { attributes, value } of listItems(metadata)) {
    const role = /\brole="(unittype|scale|offset)"/.exec(attributes)?.[1];
    if (role === undefined) continue;
    const plain =
      role === "unittype" ? /^(m|met(re|er)s?)?$/i.test(value.trim()) : Number(value) === (role === "scale" ? 1 : 0);
    if (!plain) throw refuseRaster(`heights are not plain metres (${role} ${JSON.stringify(value.slice(0, 40))})`);
  }
}

/** Splits metadata into its items, in one pass: a pattern over the whole text took seconds on repeated parts. */
function listItems(metadata: string): { attributes: string; value: string }[] {
  return metadata
    .split("<Item")
    .slice(1)
    .map((item) => {
      const end = item.indexOf(">");
      return end < 0
        ? { attributes: item, value: "" }
        : { attributes: item.slice(0, end), value: item.slice(end + 1).split("<", 1)[0] as string };
    });
}

const NUMBER = /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i;
const NOT_A_NUMBER = /^[-+]?(nan(\(\w*\))?|1\.#(qnan|snan|ind)\d*)$/i;
const INFINITE = /^[-+]?inf(inity)?$/i;

/** Returns the number of a no-data tag, null without one. A tag that cannot be read is refused: its voids would be heights. */
function parseNoData(stored: string | undefined): number | null {
  if (stored === undefined) return null;
  const text = stored.trim();
  if (NUMBER.test(text)) return Number(text);
  if (NOT_A_NUMBER.test(text)) return Number.NaN;
  if (INFINITE.test(text)) return text.startsWith("-") ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
  throw refuseRaster(`its no-data value ${JSON.stringify(text)} is not a number`);
}
