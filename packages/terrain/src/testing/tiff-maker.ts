import { deflateSync } from "node:zlib";

/** A field of a TIFF directory. Types: 2 text, 3 uint16, 4 uint32, 12 float64, 16 uint64. */
export interface TiffField {
  tag: number;
  type: 2 | 3 | 4 | 12 | 16;
  values: number[] | string;
  /** Written instead of the true number of values. */
  count?: number;
  /** Written instead of the true place of values that do not fit into the field. */
  at?: number;
}

export interface TiffFile {
  littleEndian?: boolean;
  big?: boolean;
  directories: TiffField[][];
  /** Stored as they are, straight after the 16 bytes of the header. */
  blocks?: Buffer[];
  /** Index of the directory that follows each; by default the next one, and none after the last. */
  next?: (number | undefined)[];
}

export const HEADER_BYTES = 16;

const WIDTH: Record<TiffField["type"], number> = { 2: 1, 3: 2, 4: 4, 12: 8, 16: 8 };

/** Writes any TIFF structure, sound or not. */
export function writeTiff({ littleEndian = true, big = false, directories, blocks = [], next }: TiffFile): Buffer {
  const pointer = big ? 8 : 4;
  const starts: number[] = [];
  const bytesOf = directories.map((fields) => countDirectoryBytes(fields, pointer));
  let at = HEADER_BYTES + blocks.reduce((sum, block) => sum + block.length, 0);
  for (const bytes of bytesOf) {
    starts.push(at);
    at += bytes;
  }
  const out = Buffer.alloc(at);
  const put = (value: number, width: number, offset: number) => putNumber(out, value, width, offset, littleEndian);
  out.write(littleEndian ? "II" : "MM", 0, "latin1");
  put(big ? 43 : 42, 2, 2);
  if (big) put(8, 2, 4);
  put(starts[0] ?? 0, pointer, big ? 8 : 4);
  Buffer.concat(blocks).copy(out, HEADER_BYTES);
  directories.forEach((fields, index) => {
    const following = next ? next[index] : index + 1;
    const nextAt = following === undefined ? 0 : (starts[following] ?? 0);
    writeDirectory(out, fields, starts[index] as number, nextAt, pointer, littleEndian);
  });
  return out;
}

function countDirectoryBytes(fields: TiffField[], pointer: number): number {
  const outside = fields.reduce((sum, field) => sum + countOutsideBytes(field, pointer), 0);
  return (pointer === 8 ? 8 : 2) + fields.length * (4 + 2 * pointer) + pointer + outside;
}

function countOutsideBytes({ type, values }: TiffField, pointer: number): number {
  const bytes = (values.length + (typeof values === "string" ? 1 : 0)) * WIDTH[type];
  return bytes <= pointer ? 0 : bytes;
}

function writeDirectory(
  out: Buffer,
  fields: TiffField[],
  start: number,
  nextAt: number,
  pointer: number,
  littleEndian: boolean,
): void {
  const put = (value: number, width: number, offset: number) => putNumber(out, value, width, offset, littleEndian);
  const countBytes = pointer === 8 ? 8 : 2;
  const entryBytes = 4 + 2 * pointer;
  let outside = start + countBytes + fields.length * entryBytes + pointer;
  put(fields.length, countBytes, start);
  fields.forEach((field, index) => {
    const entry = start + countBytes + index * entryBytes;
    const values = typeof field.values === "string" ? [...Buffer.from(`${field.values}\0`)] : field.values;
    put(field.tag, 2, entry);
    put(field.type, 2, entry + 2);
    put(field.count ?? values.length, pointer, entry + 4);
    const bytes = countOutsideBytes(field, pointer);
    const place = bytes === 0 ? entry + 4 + pointer : outside;
    if (bytes > 0) put(field.at ?? outside, pointer, entry + 4 + pointer);
    values.forEach((value, at) => {
      putValue(out, value, field.type, place + at * WIDTH[field.type], littleEndian);
    });
    outside += bytes;
  });
  put(nextAt, pointer, start + countBytes + fields.length * entryBytes);
}

function putValue(out: Buffer, value: number, type: TiffField["type"], at: number, littleEndian: boolean): void {
  if (type !== 12) putNumber(out, value, WIDTH[type], at, littleEndian);
  else if (littleEndian) out.writeDoubleLE(value, at);
  else out.writeDoubleBE(value, at);
}

function putNumber(out: Buffer, value: number, width: number, at: number, littleEndian: boolean): void {
  if (width === 8) {
    if (littleEndian) out.writeBigUInt64LE(BigInt(value), at);
    else out.writeBigUInt64BE(BigInt(value), at);
  } else if (littleEndian) out.writeUIntLE(value, at, width);
  else out.writeUIntBE(value, at, width);
}

export interface RasterSpec {
  epsg: number;
  /** Position of the upper left corner (pixel-is-area) or of the first cell's centre (pixel-is-point). */
  x: number;
  y: number;
  step: number;
  widthPx: number;
  heightPx: number;
  /** The stored value of a cell. */
  value: (column: number, row: number) => number;
  pixelIs?: "area" | "point";
  sampleType?: "uint8" | "int8" | "int16" | "uint16" | "float32" | "float64";
  noData?: string;
  compression?: "none" | "deflate";
  /** Side of square tiles; strips without it. */
  tilePx?: number;
  /** Rows of a strip; 16 by default. */
  rowsPerStrip?: number;
  /** Blocks left out, by index. */
  sparse?: number[];
  littleEndian?: boolean;
  /** Stored bytes of the blocks, in place of those that `value` gives. */
  blocks?: Buffer[];
  /** Fields that replace those of the same tag, or are added. */
  fields?: TiffField[];
}

const SAMPLES = {
  uint8: { format: 1, bits: 8, array: Uint8Array },
  int8: { format: 2, bits: 8, array: Int8Array },
  int16: { format: 2, bits: 16, array: Int16Array },
  uint16: { format: 1, bits: 16, array: Uint16Array },
  float32: { format: 3, bits: 32, array: Float32Array },
  float64: { format: 3, bits: 64, array: Float64Array },
} as const;

/** A GeoTIFF of one band, little-endian by default; the bytes of blocks are always little-endian unless given. */
export function makeGeoTiff(spec: RasterSpec): Buffer {
  const blocks = makeBlocks(spec);
  const sample = SAMPLES[spec.sampleType ?? "float32"];
  const geographic = [4326, 4269, 4258].includes(spec.epsg);
  const keys = [
    [1024, 0, 1, geographic ? 2 : 1],
    [1025, 0, 1, spec.pixelIs === "point" ? 2 : 1],
    [geographic ? 2048 : 3072, 0, 1, spec.epsg],
  ];
  const strips = spec.tilePx === undefined;
  const fields: TiffField[] = [
    { tag: 256, type: 4, values: [spec.widthPx] },
    { tag: 257, type: 4, values: [spec.heightPx] },
    { tag: 258, type: 3, values: [sample.bits] },
    { tag: 259, type: 3, values: [spec.compression === "deflate" ? 8 : 1] },
    { tag: 277, type: 3, values: [1] },
    { tag: 339, type: 3, values: [sample.format] },
    { tag: strips ? 273 : 324, type: 4, values: blocks.offsets },
    { tag: strips ? 279 : 325, type: 4, values: blocks.stored.map((block) => block.length) },
    ...(spec.tilePx === undefined
      ? [{ tag: 278, type: 3 as const, values: [spec.rowsPerStrip ?? 16] }]
      : [322, 323].map((tag): TiffField => ({ tag, type: 3, values: [spec.tilePx as number] }))),
    { tag: 33550, type: 12, values: [spec.step, spec.step, 0] },
    { tag: 33922, type: 12, values: [0, 0, 0, spec.x, spec.y, 0] },
    { tag: 34735, type: 3, values: [1, 1, 0, keys.length, ...keys.flat()] },
    ...(spec.noData === undefined ? [] : [{ tag: 42113, type: 2 as const, values: spec.noData }]),
  ];
  const replaced = new Set(spec.fields?.map(({ tag }) => tag));
  const all = [...fields.filter(({ tag }) => !replaced.has(tag)), ...(spec.fields ?? [])];
  return writeTiff({
    littleEndian: spec.littleEndian ?? true,
    directories: [all.sort((one, other) => one.tag - other.tag)],
    blocks: blocks.stored,
  });
}

function makeBlocks(spec: RasterSpec): { stored: Buffer[]; offsets: number[] } {
  const width = spec.tilePx ?? spec.widthPx;
  const height = spec.tilePx ?? spec.rowsPerStrip ?? 16;
  const stored: Buffer[] = [];
  const offsets: number[] = [];
  let at = HEADER_BYTES;
  for (let row = 0; row < spec.heightPx; row += height) {
    for (let column = 0; column < spec.widthPx; column += width) {
      const rows = spec.tilePx ?? Math.min(height, spec.heightPx - row);
      const leftOut = spec.sparse?.includes(stored.length) ?? false;
      const made = () => spec.blocks?.[stored.length] ?? makeBlockBytes(spec, column, row, width, rows);
      const block = leftOut ? Buffer.alloc(0) : made();
      offsets.push(leftOut ? 0 : at);
      stored.push(block);
      at += block.length;
    }
  }
  return { stored, offsets };
}

function makeBlockBytes(spec: RasterSpec, column: number, row: number, width: number, rows: number): Buffer {
  const values = new SAMPLES[spec.sampleType ?? "float32"].array(width * rows);
  for (let at = 0; at < values.length; at++) {
    const [c, r] = [column + (at % width), row + Math.floor(at / width)];
    values[at] = c < spec.widthPx && r < spec.heightPx ? spec.value(c, r) : 0;
  }
  const bytes = Buffer.from(values.buffer);
  return spec.compression === "deflate" ? deflateSync(bytes) : bytes;
}
