import { basename } from "node:path";
import { TerrainError, TransientError } from "@fellmark/units";
import { decodeBlock } from "../codec/decode-block.ts";
import { openTiffImage, readTiffBlock } from "../geotiff/tiff-image.ts";
import { unzipTile } from "../hgt/hgt-zip.ts";
import { createBlockCache } from "./block-cache.ts";
import { type ByteSource, createFileSource, createMemorySource, type FileIdentity, useFile } from "./byte-source.ts";
import { type CellRect, intersectRects, type RasterHeader } from "./raster-header.ts";

/** A raster on disk with a checked header. */
export interface Raster {
  /** Name used in errors. */
  name: string;
  path: string;
  identity: FileIdentity;
  sha256: string;
  header: RasterHeader;
  /** Stored values that stand for "not known". */
  voids: readonly number[];
  range: ValueRange;
}

/** The values that the cells of a raster may have; others are not known. */
export interface ValueRange {
  lowest: number;
  highest: number;
}

/** The number of cells whose values lie below and above the range of their raster. */
export interface OutsideCells {
  low: number;
  high: number;
}

/** Values of a rectangle, row-major; NaN where not known. */
export interface CellArray {
  rect: CellRect;
  values: Float32Array;
}

/** Decoded blocks that are kept: those around a mast several times over. */
const cache = createBlockCache(32 * 1024 * 1024);

/**
 * Copies the cells of a raster into `target` wherever that is still NaN. Returns the number of cells outside the range
 * of the raster, which stay NaN.
 * `place` is where the raster's cell (0, 0) lies in the grid of `target`. Each block is decoded at most once.
 * Throws TerrainError `source_changed`, `raster_truncated` or `raster_corrupt`, or TransientError `raster_unreadable`,
 * naming the file.
 */
export async function readCells(
  raster: Raster,
  place: { col: number; row: number },
  target: CellArray,
): Promise<OutsideCells> {
  const outside = { low: 0, high: 0 };
  const { widthPx, heightPx } = raster.header.grid;
  const own = { col: target.rect.col - place.col, row: target.rect.row - place.row };
  const wanted = intersectRects(
    { ...own, width: target.rect.width, height: target.rect.height },
    { col: 0, row: 0, width: widthPx, height: heightPx },
  );
  if (!wanted) return outside;
  const copy = (block: number, values: Float32Array) => {
    const from = { rect: computeBlockRect(raster.header, block), values };
    copyBlock(from, { rect: { ...target.rect, ...own }, values: target.values }, raster.range, outside);
  };
  const missing: number[] = [];
  for (const block of listBlocks(raster.header, wanted)) {
    const values = cache.get(toBlockKey(raster, block));
    if (values) copy(block, values);
    else missing.push(block);
  }
  if (missing.length === 0) return outside;
  await useBlocks(raster, async (readBlock) => {
    for (const block of missing) {
      const values = await readBlock(block);
      cache.set(toBlockKey(raster, block), values);
      copy(block, values);
    }
  });
  return outside;
}

function toBlockKey({ sha256, voids }: Raster, block: number): string {
  return `${sha256}/${voids.join()}/${block}`;
}

/** Returns the blocks that meet a rectangle; those that a sparse file leaves out are not known and have nothing to read. */
function listBlocks({ grid, blocks }: RasterHeader, { col, row, width, height }: CellRect): number[] {
  const across = Math.ceil(grid.widthPx / blocks.blockWidth);
  const found: number[] = [];
  for (let down = Math.floor(row / blocks.blockHeight); down * blocks.blockHeight < row + height; down++) {
    for (let along = Math.floor(col / blocks.blockWidth); along * blocks.blockWidth < col + width; along++) {
      const block = down * across + along;
      if (blocks.byteCounts[block] !== 0) found.push(block);
    }
  }
  return found;
}

/** Returns the cells of a block, including those of a tile beyond the raster's edge. */
function computeBlockRect({ grid, blocks }: RasterHeader, block: number): CellRect {
  const across = Math.ceil(grid.widthPx / blocks.blockWidth);
  const row = Math.floor(block / across) * blocks.blockHeight;
  const height = blocks.padded ? blocks.blockHeight : Math.min(blocks.blockHeight, grid.heightPx - row);
  return { col: (block % across) * blocks.blockWidth, row, width: blocks.blockWidth, height };
}

function copyBlock(
  { rect: from, values }: CellArray,
  { rect, values: to }: CellArray,
  { lowest, highest }: ValueRange,
  outside: OutsideCells,
): void {
  const shared = intersectRects(from, rect);
  if (!shared) return;
  for (let row = shared.row; row < shared.row + shared.height; row++) {
    let source = (row - from.row) * from.width + shared.col - from.col;
    let at = (row - rect.row) * rect.width + shared.col - rect.col;
    for (const end = at + shared.width; at < end; at++, source++) {
      if (!Number.isNaN(to[at])) continue;
      const value = values[source] as number;
      if (value < lowest) outside.low++;
      else if (value > highest) outside.high++;
      else to[at] = value;
    }
  }
}

type ReadBlock = (block: number) => Promise<Float32Array> | Float32Array;

/** Runs `use` with a reader of the raster's blocks while its file is open; names the file in errors. */
async function useBlocks(raster: Raster, use: (readBlock: ReadBlock) => Promise<void>): Promise<void> {
  const { name, path, identity } = raster;
  try {
    await useFile(path, identity, async (fd) => use(await openBlocks(raster, createFileSource(fd, identity))));
  } catch (error) {
    if (error instanceof TransientError)
      throw new TransientError(error.code, `${name}: ${error.message}`, { cause: error });
    if (error instanceof TerrainError)
      throw new TerrainError(error.code, `${name}: ${error.message}`, { cause: error });
    throw error;
  }
}

async function openBlocks(raster: Raster, file: ByteSource): Promise<ReadBlock> {
  const { header, path } = raster;
  if (header.format === "geotiff") return openTiffBlocks(raster, file);
  const isZip = header.format === "hgt-zip";
  const source = isZip ? createMemorySource(await unzipTile(file.read(0, file.sizeBytes), basename(path))) : file;
  const { offsets, byteCounts } = header.blocks;
  return (block) => decodeStored(raster, block, source.read(offsets[block] as number, byteCounts[block] as number));
}

async function openTiffBlocks(raster: Raster, file: ByteSource): Promise<ReadBlock> {
  const { grid, blocks } = raster.header;
  const image = await openTiffImage(file, { widthPx: grid.widthPx, heightPx: grid.heightPx, blocks });
  const across = Math.ceil(grid.widthPx / blocks.blockWidth);
  return (block) => {
    const place = { column: block % across, row: Math.floor(block / across) };
    return readTiffBlock(image, place, (packed) => decodeStored(raster, block, packed));
  };
}

function decodeStored({ header, voids }: Raster, block: number, packed: Buffer): Float32Array<ArrayBuffer> {
  const { width: columns, height: rows } = computeBlockRect(header, block);
  return decodeBlock(packed, header.blocks, { columns, rows, allocate: cache.allocate }, voids);
}
