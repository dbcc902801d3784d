/** Types of a TIFF field. Source: TIFF 6.0, section 2. */
const ASCII = 2;
const SHORT = 3;
const LONG = 4;
const DOUBLE = 12;

const SIZE_OF_TYPE: Record<number, number> = { [ASCII]: 1, [SHORT]: 2, [LONG]: 4, [DOUBLE]: 8 };

export interface TiffField {
  tag: number;
  type: number;
  values: ArrayLike<number>;
}

export function toShorts(tag: number, ...values: number[]): TiffField {
  return { tag, type: SHORT, values };
}

export function toLongs(tag: number, values: ArrayLike<number>): TiffField {
  return { tag, type: LONG, values };
}

export function toDoubles(tag: number, ...values: number[]): TiffField {
  return { tag, type: DOUBLE, values };
}

export function toAscii(tag: number, text: string): TiffField {
  return { tag, type: ASCII, values: Buffer.from(`${text}\0`, "utf8") };
}

/** Bytes of a little-endian header whose only directory lies at an offset. */
export function encodeHeader(directoryOffset: number): Buffer {
  const header = Buffer.alloc(8);
  header.write("II", "latin1");
  header.writeUInt16LE(42, 2);
  header.writeUInt32LE(directoryOffset, 4);
  return header;
}

/** Bytes of an image directory that starts at `offset` (even), followed by the values that do not fit into it. */
export function encodeDirectory(fields: readonly TiffField[], offset: number): Buffer {
  const sorted = [...fields].sort((a, b) => a.tag - b.tag);
  const directory = Buffer.alloc(2 + 12 * sorted.length + 4);
  directory.writeUInt16LE(sorted.length, 0);
  const blocks: Buffer[] = [directory];
  let end = offset + directory.length;
  for (const [index, field] of sorted.entries()) {
    const at = 2 + 12 * index;
    const values = encodeValues(field);
    directory.writeUInt16LE(field.tag, at);
    directory.writeUInt16LE(field.type, at + 2);
    directory.writeUInt32LE(field.values.length, at + 4);
    if (values.length <= 4) {
      values.copy(directory, at + 8);
      continue;
    }
    directory.writeUInt32LE(end, at + 8);
    blocks.push(values, Buffer.alloc(values.length & 1));
    end += values.length + (values.length & 1);
  }
  return Buffer.concat(blocks);
}

function encodeValues({ type, values }: TiffField): Buffer {
  const size = SIZE_OF_TYPE[type];
  const bytes = Buffer.alloc(size * values.length);
  for (let index = 0; index < values.length; index++) {
    if (type === DOUBLE) bytes.writeDoubleLE(values[index], index * size);
    else bytes.writeUIntLE(values[index], index * size, size);
  }
  return bytes;
}
