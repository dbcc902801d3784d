import { FellmarkError, TerrainError } from "@fellmark/units";
import type { GeoTIFFImage } from "geotiff";
import type { ByteSource } from "../raster/byte-source.ts";
import type { BlockLayout } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { type GeoKeys, KEY } from "./geo-key-list.ts";
import { loadLibrary } from "./library.ts";
import { TAG } from "./tiff-tags.ts";

/** Layout of an image as the guard read it; the library must read the same. */
export interface CheckedImage {
  widthPx: number;
  heightPx: number;
  blocks: BlockLayout;
}

/**
 * Opens the first image of a GeoTIFF with the library.
 * The file's structure must have passed `checkDirectories` and `readBlockLayout`.
 * Throws TerrainError `raster_refused` where the library reads other blocks than the guard.
 */
export function openTiffImage(source: ByteSource, checked: CheckedImage): Promise<GeoTIFFImage> {
  return wrapErrors("raster_refused", async () => {
    const { GeoTIFF } = await loadLibrary();
    const image = await (await GeoTIFF.fromSource(createLibrarySource(source))).getImage(0);
    await requireSameBlocks(image, checked);
    return image;
  });
}

/** Returns the numbers of a field; undefined where the file does not have it. */
export function readNumbers(image: GeoTIFFImage, tag: number): Promise<Float64Array | undefined> {
  return wrapErrors("raster_refused", async () => {
    const values: unknown = await image.fileDirectory.loadValue(tag);
    if (values === undefined) return undefined;
    return typeof values === "number" ? Float64Array.of(values) : Float64Array.from(values as ArrayLike<number>);
  });
}

/** Returns the text of a field up to its first zero byte; undefined where the file does not have it. */
export function readText(image: GeoTIFFImage, tag: number): Promise<string | undefined> {
  return wrapErrors("raster_refused", async () => {
    const text: unknown = await image.fileDirectory.loadValue(tag);
    return text === undefined ? undefined : (String(text).split("\0", 1)[0] as string);
  });
}

/** Returns the numeric geo keys of a file; undefined where it has no keys. */
export function readGeoKeys(image: GeoTIFFImage): Promise<GeoKeys | undefined> {
  return wrapErrors("raster_refused", async () => {
    const { globals } = await loadLibrary();
    const found: Record<string, unknown> | null = image.getGeoKeys();
    return found ? toGeoKeys(found, globals.geoKeyNames) : undefined;
  });
}

function toGeoKeys(found: Record<string, unknown>, names: Record<number, string>): GeoKeys {
  const keys = new Map<number, readonly number[]>();
  for (const key of Object.values(KEY)) {
    const value = found[names[key] as string];
    if (typeof value === "number") keys.set(key, [value]);
    else if (ArrayBuffer.isView(value)) keys.set(key, [...(value as Float64Array)]);
  }
  return keys;
}

/**
 * Reads the block at a column and a row of blocks; `decode` turns its bytes into values.
 * Throws TerrainError `raster_corrupt`, and any FellmarkError of `decode` or of the source.
 */
export function readTiffBlock(
  image: GeoTIFFImage,
  { column, row }: { column: number; row: number },
  decode: (packed: Buffer) => Float32Array<ArrayBuffer>,
): Promise<Float32Array> {
  return wrapErrors("raster_corrupt", async () => {
    const decoder = { decode: async (packed: ArrayBufferLike) => decode(Buffer.from(packed)).buffer };
    return new Float32Array((await image.getTileOrStrip(column, row, 0, decoder)).data);
  });
}

/** The file as a source for the library. It reads ahead by a fixed length: past the end it receives fewer bytes. */
function createLibrarySource(source: ByteSource) {
  const read = ({ offset, length }: { offset: number; length: number }): ArrayBufferLike => {
    const bytes = source.read(offset, Math.min(length, source.sizeBytes - offset));
    const whole = bytes.byteLength === bytes.buffer.byteLength;
    return whole ? bytes.buffer : bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
  };
  return {
    fileSize: source.sizeBytes,
    fetch: async (slices: { offset: number; length: number }[]) => slices.map(read),
    fetchSlice: async (slice: { offset: number; length: number }) => ({ ...slice, data: read(slice) }),
    close: async () => undefined,
  };
}

async function requireSameBlocks(image: GeoTIFFImage, { widthPx, heightPx, blocks }: CheckedImage): Promise<void> {
  const offsets = await readNumbers(image, blocks.padded ? TAG.tileOffsets : TAG.stripOffsets);
  const byteCounts = await readNumbers(image, blocks.padded ? TAG.tileByteCounts : TAG.stripByteCounts);
  const isSame =
    image.isTiled === blocks.padded &&
    image.getWidth() === widthPx &&
    image.getHeight() === heightPx &&
    image.getTileWidth() === blocks.blockWidth &&
    image.getTileHeight() === blocks.blockHeight &&
    hasSameNumbers(offsets, blocks.offsets) &&
    hasSameNumbers(byteCounts, blocks.byteCounts);
  if (!isSame) throw refuseRaster("its blocks can be read in two ways");
}

function hasSameNumbers(one: Float64Array | undefined, other: Float64Array): boolean {
  return one?.length === other.length && one.every((value, index) => value === other[index]);
}

/** Runs a call of the library and makes a TerrainError of what it throws: errors of any kind, and also plain text. */
export async function wrapErrors<T>(code: "raster_refused" | "raster_corrupt", call: () => T | Promise<T>): Promise<T> {
  try {
    return await call();
  } catch (error) {
    if (error instanceof FellmarkError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    throw new TerrainError(code, `its structure cannot be read: ${reason}`, { cause: error });
  }
}
