import { BYTES_PER_SAMPLE, type Compression, type SampleType } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";

/** One block is decoded at a time, into as many bytes and up to four more for each of its cells. */
const MAX_BLOCK_BYTES = 64 * 2 ** 20;

/** Of the compressed blocks of a raster several must fit into the cache, or neighbours are decoded again and again. */
const MAX_COMPRESSED_CELLS = 2048 * 2048;

/** Tiles of 64 cells a side over the largest raster. */
const MAX_BLOCKS = 400_000;

/** Deflate makes 1,032 bytes of one at most; other codecs reach more, which only small rasters may use. */
const MAX_EXPANSION = 1100;
const ALWAYS_ALLOWED_BYTES = 64 * 2 ** 20;

/** The sizes of a raster and of its blocks. */
export interface BlockSizes {
  widthPx: number;
  heightPx: number;
  blockWidth: number;
  blockHeight: number;
  blockCount: number;
  sampleType: SampleType;
  compression: Compression;
  fileBytes: number;
}

/** Bounds the memory of one block and the time of all of them, missing blocks included. Throws `raster_refused`. */
export function requireBoundedBlocks(sizes: BlockSizes): void {
  const { widthPx, heightPx, blockWidth, blockHeight, blockCount, sampleType, compression, fileBytes } = sizes;
  const blockCells = blockWidth * blockHeight;
  if (blockCells * BYTES_PER_SAMPLE[sampleType] > MAX_BLOCK_BYTES) {
    throw refuseRaster(`a block of ${blockCells} cells in ${sampleType}; a block has at most 64 MB`);
  }
  if (compression !== "none" && blockCount > 1 && blockCells > MAX_COMPRESSED_CELLS) {
    throw refuseRaster(
      `compressed blocks of ${blockWidth} x ${blockHeight} cells; at most ${MAX_COMPRESSED_CELLS} cells`,
    );
  }
  if (blockCount > MAX_BLOCKS) throw refuseRaster(`it has ${blockCount} blocks; at most ${MAX_BLOCKS}`);
  const bytes = widthPx * heightPx * BYTES_PER_SAMPLE[sampleType];
  const maxBytes = Math.max(ALWAYS_ALLOWED_BYTES, MAX_EXPANSION * fileBytes);
  if (bytes > maxBytes) {
    throw refuseRaster(
      `${widthPx * heightPx} cells take ${bytes} bytes; a file of ${fileBytes} bytes may have ${maxBytes}`,
    );
  }
}
