import { deflateSync } from "node:zlib";

/** A square GeoTIFF of one strip, sound or spoilt. */
export interface SmallTiff {
  /** North-west corner of the north-west cell, in units of the system. */
  west: number;
  north: number;
  step: number;
  side: number;
  /** Height of the cell whose centre lies there. */
  height: (x: number, y: number) => number;
  sample?: "int16" | "float32";
  epsg?: number;
  noData?: string;
  /** Bytes that stand where the deflated cells should. */
  deflated?: Buffer;
  /** The directory names itself as the next one. */
  endless?: boolean;
}

const HEADER_BYTES = 8;

/** Bytes of a value of each field type. Source: TIFF 6.0, section 2. */
const TYPE_BYTES = { 2: 1, 3: 2, 4: 4, 12: 8 } as const;
type Field = [tag: number, type: keyof typeof TYPE_BYTES, values: number[]];

/** Little-endian bytes of the file. */
export function smallTiff(spec: SmallTiff): Buffer {
  const { side, step, west, north, epsg = 4326, sample = "float32" } = spec;
  const block = spec.deflated ?? deflateSync(cellBytes(spec));
  const isGeographic = epsg === 4326;
  const fields: Field[] = [
    [256, 4, [side]],
    [257, 4, [side]],
    [258, 3, [sample === "int16" ? 16 : 32]],
    [259, 3, [8]],
    [273, 4, [HEADER_BYTES]],
    [277, 3, [1]],
    [278, 4, [side]],
    [279, 4, [block.length]],
    [339, 3, [sample === "int16" ? 2 : 3]],
    [33550, 12, [step, step, 0]],
    [33922, 12, [0, 0, 0, west, north, 0]],
    [34735, 3, [1, 1, 0, 3, 1024, 0, 1, isGeographic ? 2 : 1, 1025, 0, 1, 1, isGeographic ? 2048 : 3072, 0, 1, epsg]],
  ];
  if (spec.noData !== undefined) fields.push([42113, 2, [...Buffer.from(`${spec.noData}\0`)]]);
  const start = HEADER_BYTES + block.length;
  const header = Buffer.from("II*\0\0\0\0\0", "latin1");
  header.writeUInt32LE(start, 4);
  return Buffer.concat([header, block, directory(fields, start, spec.endless ? start : 0)]);
}

function cellBytes({ side, step, west, north, height, sample = "float32" }: SmallTiff): Buffer {
  const cells = new (sample === "int16" ? Int16Array : Float32Array)(side * side);
  for (let at = 0; at < cells.length; at++) {
    const [column, row] = [at % side, Math.floor(at / side)];
    cells[at] = height(west + (column + 0.5) * step, north - (row + 0.5) * step);
  }
  return Buffer.from(cells.buffer);
}

/** A directory that stands at `start`, followed by the values that do not fit into its fields. */
function directory(fields: Field[], start: number, next: number): Buffer {
  const table = Buffer.alloc(2 + 12 * fields.length + 4);
  const behind: Buffer[] = [];
  let end = start + table.length;
  table.writeUInt16LE(fields.length, 0);
  fields.forEach(([tag, type, values], index) => {
    const entry = 2 + 12 * index;
    const bytes = valueBytes(type, values);
    table.writeUInt16LE(tag, entry);
    table.writeUInt16LE(type, entry + 2);
    table.writeUInt32LE(values.length, entry + 4);
    if (bytes.length <= 4) {
      bytes.copy(table, entry + 8);
    } else {
      table.writeUInt32LE(end, entry + 8);
      behind.push(bytes);
      end += bytes.length;
    }
  });
  table.writeUInt32LE(next, table.length - 4);
  return Buffer.concat([table, ...behind]);
}

function valueBytes(type: Field[1], values: number[]): Buffer {
  const bytes = Buffer.alloc(values.length * TYPE_BYTES[type]);
  values.forEach((value, index) => {
    if (type === 12) bytes.writeDoubleLE(value, 8 * index);
    else bytes.writeUIntLE(value, TYPE_BYTES[type] * index, TYPE_BYTES[type]);
  });
  return bytes;
}
