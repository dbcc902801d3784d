import { type BlockLayout, BYTES_PER_SAMPLE, type Compression, type SampleType } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { requireBoundedBlocks } from "./block-limits.ts";
import type { CheckedDirectory } from "./tiff-guard.ts";
import { TAG } from "./tiff-tags.ts";

/** TIFF 6.0, section 15: sides are multiples of 16. */
const MIN_TILE_PX = 16;
const MAX_TILE_PX = 4096;
/** Limit of one block, so that decoding it takes a bounded amount of memory. */
const MAX_BLOCK_CELLS = MAX_TILE_PX * MAX_TILE_PX;

const COMPRESSIONS: Record<number, Compression> = {
  1: "none",
  5: "lzw",
  8: "deflate",
  32946: "deflate",
  32773: "packbits",
  50000: "zstd",
};

/** By sample format (1 unsigned, 2 signed, 3 floating point) and bits. */
const SAMPLE_TYPES: Record<string, SampleType> = {
  "1/8": "uint8",
  "2/16": "int16",
  "1/16": "uint16",
  "3/32": "float32",
  "3/64": "float64",
};

interface Size {
  widthPx: number;
  heightPx: number;
}

/** Returns the blocks of an image, all of them inside the file. Throws TerrainError `raster_refused`. */
export function readBlockLayout(image: CheckedDirectory, size: Size, fileBytes: number): BlockLayout {
  const sampleType = readSampleType(image);
  const compression = COMPRESSIONS[image.read(TAG.compression, 1)];
  if (!compression) throw refuseRaster(`compression ${image.read(TAG.compression, 1)} is not supported`);
  const predictor = readPredictor(image, sampleType);
  const shape = image.has(TAG.tileWidth) ? readTileShape(image) : readStripShape(image, size);
  requireOneKindOfBlocks(image);
  const count = Math.ceil(size.widthPx / shape.blockWidth) * Math.ceil(size.heightPx / shape.blockHeight);
  requireBoundedBlocks({ ...size, ...shape, blockCount: count, sampleType, compression, fileBytes });
  const offsets = image.readList(shape.padded ? TAG.tileOffsets : TAG.stripOffsets, count);
  const byteCounts = image.readList(shape.padded ? TAG.tileByteCounts : TAG.stripByteCounts, count);
  if (offsets.length !== count || byteCounts.length !== count)
    throw refuseRaster(
      `it lists ${offsets.length} block offsets and ${byteCounts.length} lengths; its size needs ${count}`,
    );
  const layout = {
    ...shape,
    offsets,
    byteCounts,
    compression,
    predictor,
    littleEndian: image.littleEndian,
    sampleType,
  };
  refuseBlocksOutside(layout, fileBytes);
  refuseSharedBytes(layout);
  return layout;
}

function readSampleType(image: CheckedDirectory): SampleType {
  if (image.read(TAG.samplesPerPixel, 1) !== 1) throw refuseRaster("it has more than one band");
  if (image.read(TAG.fillOrder, 1) !== 1) throw refuseRaster("its bits are stored in reverse order");
  const format = image.read(TAG.sampleFormat, 1);
  const bits = image.read(TAG.bitsPerSample, 1);
  const type = SAMPLE_TYPES[`${format}/${bits}`];
  if (type) return type;
  throw refuseRaster(`values of ${bits} bits in format ${format} are not uint8, int16, uint16, float32 or float64`);
}

function readPredictor(image: CheckedDirectory, sampleType: SampleType): 1 | 2 | 3 {
  const predictor = image.read(TAG.predictor, 1);
  if (predictor === 1 || predictor === 2) return predictor;
  if (predictor === 3 && sampleType.startsWith("float")) return predictor;
  throw refuseRaster(`predictor ${predictor} is not supported for ${sampleType}`);
}

function requireOneKindOfBlocks(image: CheckedDirectory): void {
  const others = image.has(TAG.tileWidth)
    ? [TAG.stripOffsets, TAG.stripByteCounts]
    : [TAG.tileOffsets, TAG.tileByteCounts];
  if (others.some((tag) => image.has(tag))) throw refuseRaster("it lists both strips and tiles");
}

function readTileShape(image: CheckedDirectory) {
  const blockWidth = image.read(TAG.tileWidth);
  const blockHeight = image.read(TAG.tileHeight);
  const inBounds = (side: number) => side >= MIN_TILE_PX && side <= MAX_TILE_PX;
  if (!inBounds(blockWidth) || !inBounds(blockHeight)) {
    throw refuseRaster(`tiles of ${blockWidth} x ${blockHeight} cells; a side has ${MIN_TILE_PX} to ${MAX_TILE_PX}`);
  }
  return { blockWidth, blockHeight, padded: true };
}

/** A strip is never taller than the image: the predictor of the last strip counts its rows. */
function readStripShape(image: CheckedDirectory, { widthPx, heightPx }: Size) {
  const blockHeight = Math.min(image.read(TAG.rowsPerStrip, heightPx), heightPx);
  if (blockHeight < 1 || blockHeight * widthPx > MAX_BLOCK_CELLS) {
    throw refuseRaster(`strips of ${blockHeight} rows; one has 1 to ${Math.floor(MAX_BLOCK_CELLS / widthPx)}`);
  }
  return { blockWidth: widthPx, blockHeight, padded: false };
}

/** A missing block has offset and length 0; any other must lie inside the file and not be longer than its cells allow. */
function refuseBlocksOutside(layout: BlockLayout, fileBytes: number): void {
  const { offsets, byteCounts, blockWidth, blockHeight, sampleType } = layout;
  const largest = 2 * blockWidth * blockHeight * BYTES_PER_SAMPLE[sampleType] + 1024;
  for (let block = 0; block < offsets.length; block++) {
    const start = offsets[block] as number;
    const bytes = byteCounts[block] as number;
    if (start === 0 && bytes === 0) continue;
    if (bytes === 0 || start < 8 || start + bytes > fileBytes)
      throw refuseRaster(`block ${block} lies outside the file`);
    if (bytes > largest) throw refuseRaster(`block ${block} takes ${bytes} bytes, more than ${largest}`);
  }
}

/** Refuses blocks that overlap in the file: a few bytes could stand for a raster of any size. */
function refuseSharedBytes({ offsets, byteCounts }: BlockLayout): void {
  const inFileOrder = Uint32Array.from(offsets.keys())
    .filter((block) => byteCounts[block] !== 0)
    .sort((one, other) => (offsets[one] as number) - (offsets[other] as number));
  for (let at = 1; at < inFileOrder.length; at++) {
    const before = inFileOrder[at - 1] as number;
    const block = inFileOrder[at] as number;
    if ((offsets[before] as number) + (byteCounts[before] as number) > (offsets[block] as number)) {
      throw refuseRaster(`blocks ${before} and ${block} share bytes of the file`);
    }
  }
}
