import { endianness } from "node:os";
import { inflateSync } from "node:zlib";
import { TerrainError } from "@fellmark/units";
import { type BlockLayout, BYTES_PER_SAMPLE, type SampleType } from "../raster/raster-header.ts";
import { expandLzw } from "./lzw.ts";
import { expandPackBits } from "./packbits.ts";
import { undoFloatingPoint, undoHorizontal } from "./predictor.ts";
import { expandZstd } from "./zstd.ts";

const MACHINE_IS_LITTLE = endianness() === "LE";

type Allocate = (length: number) => Float32Array<ArrayBuffer>;

/** The size of a block, and where its values get their memory. */
export interface BlockTarget {
  columns: number;
  rows: number;
  allocate?: Allocate;
}

/**
 * Decodes one stored block into values, row-major, `columns` x `rows`, with NaN for every value of `voids`.
 * The size of the block bounds the memory, whatever the bytes contain.
 * Throws TerrainError `raster_corrupt` when the bytes do not decode to exactly that many values.
 */
export function decodeBlock(
  packed: Buffer,
  layout: BlockLayout,
  { columns, rows, allocate = (length) => new Float32Array(length) }: BlockTarget,
  voids: readonly number[],
): Float32Array<ArrayBuffer> {
  const bytes = expandBlock(packed, layout, columns * rows * BYTES_PER_SAMPLE[layout.sampleType]);
  orderBytes(bytes, layout);
  undoPredictor(bytes, layout, columns);
  return toHeights(bytes, layout.sampleType, voids, allocate);
}

function expandBlock(packed: Buffer, { compression }: BlockLayout, wantedBytes: number): Buffer {
  let bytes: Buffer;
  try {
    if (compression === "none") bytes = packed.subarray(0, wantedBytes);
    else if (compression === "deflate") bytes = expandDeflate(packed, wantedBytes);
    else bytes = expandInto(EXPAND[compression], packed, wantedBytes);
  } catch (error) {
    throw new TerrainError("raster_corrupt", `a block does not decode: ${String(error)}`, { cause: error });
  }
  if (bytes.length === wantedBytes) return toWholeBuffer(bytes);
  throw new TerrainError("raster_corrupt", `a block holds ${bytes.length} bytes instead of ${wantedBytes}`);
}

const EXPAND = { lzw: expandLzw, packbits: expandPackBits, zstd: expandZstd } as const;

function expandInto(expand: (packed: Buffer, out: Buffer) => number, packed: Buffer, wantedBytes: number): Buffer {
  const out = Buffer.from(new ArrayBuffer(wantedBytes));
  return out.subarray(0, expand(packed, out));
}

function expandDeflate(packed: Buffer, wantedBytes: number): Buffer {
  return inflateSync(packed, { maxOutputLength: wantedBytes, chunkSize: Math.max(64, wantedBytes) });
}

/** The bytes at the start of a buffer of their own, so that numbers of any width can be viewed in it. */
function toWholeBuffer(bytes: Buffer): Buffer {
  if (bytes.length === bytes.buffer.byteLength) return bytes;
  return Buffer.from(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer);
}

/** Changes the bytes to the order of this machine; the floating-point predictor has an order of its own. */
function orderBytes(bytes: Buffer, { littleEndian, predictor, sampleType }: BlockLayout): void {
  const width = BYTES_PER_SAMPLE[sampleType];
  if (width === 1 || littleEndian === MACHINE_IS_LITTLE || predictor === 3) return;
  if (width === 2) bytes.swap16();
  else if (width === 4) bytes.swap32();
  else bytes.swap64();
}

function undoPredictor(bytes: Buffer, { predictor, sampleType }: BlockLayout, columns: number): void {
  const width = BYTES_PER_SAMPLE[sampleType];
  if (predictor === 3) undoFloatingPoint(bytes, columns, width);
  if (predictor !== 2) return;
  if (width === 1) undoHorizontal(bytes, columns);
  else if (width === 2) undoHorizontal(new Int16Array(bytes.buffer), columns);
  else if (width === 4) undoHorizontal(new Int32Array(bytes.buffer), columns);
  else undoHorizontal(new BigInt64Array(bytes.buffer), columns);
}

function toHeights(
  bytes: Buffer,
  sampleType: SampleType,
  voids: readonly number[],
  allocate: Allocate,
): Float32Array<ArrayBuffer> {
  const stored = viewSamples(bytes.buffer as ArrayBuffer, sampleType);
  const heights = stored instanceof Float32Array ? stored : allocate(stored.length);
  if (heights !== stored) heights.set(stored);
  const asStored = sampleType === "float32" ? voids.map(Math.fround) : voids;
  for (const value of asStored) {
    for (let at = stored.indexOf(value); at >= 0; at = stored.indexOf(value, at + 1)) heights[at] = Number.NaN;
  }
  return heights;
}

function viewSamples(
  buffer: ArrayBuffer,
  sampleType: SampleType,
): Uint8Array | Int16Array | Uint16Array | Float32Array<ArrayBuffer> | Float64Array {
  if (sampleType === "uint8") return new Uint8Array(buffer);
  if (sampleType === "int16") return new Int16Array(buffer);
  if (sampleType === "uint16") return new Uint16Array(buffer);
  return sampleType === "float32" ? new Float32Array(buffer) : new Float64Array(buffer);
}
