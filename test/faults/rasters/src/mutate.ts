/** The structure of a TIFF file: its first directory, with some of the values behind it, and the fields. */
interface Ranges {
  directory: [from: number, to: number];
  littleEndian: boolean;
  /** Offsets of the fields of the first directory. */
  fields: number[];
  fieldBytes: number;
}

/** Numbers on which arithmetic of sizes goes wrong. */
const EDGE_NUMBERS = [0, 1, 2, 255, 256, 65_535, 65_536, 2 ** 31 - 1, 2 ** 31, 2 ** 32 - 1];

/** Heights, steps and places that no raster has. */
const EDGE_DOUBLES = [0, -1, 1e-300, 1e-9, 1e9, 1e300, Number.NaN, Number.POSITIVE_INFINITY, 5e-324, 359.9, -1e18];

/** A mutant of a raster file. */
export interface Mutant {
  kind: string;
  bytes: Buffer;
  /** Tags of the fields of the directory that were changed in place. */
  changedTags: number[];
}

type Mutation = (bytes: Buffer, ranges: Ranges, random: () => number) => Buffer;

const MUTATIONS: Record<string, Mutation> = {
  "bits of the directory": (bytes, { directory }, random) => flipBits(bytes, directory, 1 + pick(random, 3), random),
  "bits anywhere": (bytes, _ranges, random) => flipBits(bytes, [0, bytes.length], 1 + pick(random, 3), random),
  "a byte of the directory": (bytes, { directory }, random) => {
    bytes[pickWithin(directory, random)] = pick(random, 256);
    return bytes;
  },
  "a number of a field": (bytes, ranges, random) => {
    const offset = pickField(ranges, random) + (ranges.fieldBytes - 4) - 4 * pick(random, 2);
    writeUint32(bytes, EDGE_NUMBERS[pick(random, EDGE_NUMBERS.length)] as number, offset, ranges);
    return bytes;
  },
  "the type of a field": (bytes, ranges, random) => {
    const offset = pickField(ranges, random) + 2;
    bytes[ranges.littleEndian ? offset : offset + 1] = pick(random, 20);
    return bytes;
  },
  "a double behind the directory": (bytes, { directory, littleEndian }, random) => {
    const offset = Math.min(pickWithin(directory, random), bytes.length - 8);
    const value = EDGE_DOUBLES[pick(random, EDGE_DOUBLES.length)] as number;
    if (littleEndian) bytes.writeDoubleLE(value, offset);
    else bytes.writeDoubleBE(value, offset);
    return bytes;
  },
  "a field over another": (bytes, ranges, random) => {
    const [from, to] = [pickField(ranges, random), pickField(ranges, random)];
    bytes.copy(bytes, to, from, from + ranges.fieldBytes);
    return bytes;
  },
  "a cut": (bytes, _ranges, random) => bytes.subarray(0, pick(random, bytes.length)),
  "a piece taken out": (bytes, _ranges, random) => {
    const at = pick(random, bytes.length);
    return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1 + pick(random, 64))]);
  },
  "a piece put in": (bytes, _ranges, random) => {
    const at = pick(random, bytes.length);
    const piece = Buffer.from(Array.from({ length: 1 + pick(random, 64) }, () => pick(random, 256)));
    return Buffer.concat([bytes.subarray(0, at), piece, bytes.subarray(at)]);
  },
};

/** Returns a mutant of a TIFF file; the same for the same random numbers. */
export function mutate(original: Buffer, random: () => number): Mutant {
  const kinds = Object.keys(MUTATIONS);
  const kind = kinds[pick(random, kinds.length)] as string;
  const ranges = readRanges(original);
  const bytes = (MUTATIONS[kind] as Mutation)(Buffer.from(original), ranges, random);
  return { kind, bytes, changedTags: listChangedTags(original, bytes, ranges) };
}

function listChangedTags(original: Buffer, mutant: Buffer, { fields, fieldBytes, littleEndian }: Ranges): number[] {
  const sliceField = (bytes: Buffer, offset: number) => bytes.subarray(offset, offset + fieldBytes);
  return fields
    .filter((offset) => !sliceField(original, offset).equals(sliceField(mutant, offset)))
    .map((offset) => readUint(original, offset, 2, littleEndian));
}

function readRanges(bytes: Buffer): Ranges {
  const littleEndian = bytes.toString("latin1", 0, 2) === "II";
  const isBig = readUint(bytes, 2, 2, littleEndian) === 43;
  const start = isBig ? readUint(bytes, 12, 4, littleEndian, 8) : readUint(bytes, 4, 4, littleEndian);
  const count = isBig ? readUint(bytes, start + 4, 4, littleEndian, start) : readUint(bytes, start, 2, littleEndian);
  const fieldBytes = isBig ? 20 : 12;
  const first = start + (isBig ? 8 : 2);
  return {
    directory: [start, Math.min(bytes.length, start + count * fieldBytes + 600)],
    littleEndian,
    fields: Array.from({ length: count }, (_, index) => first + index * fieldBytes),
    fieldBytes,
  };
}

/** Reads a whole number; the low half of one of 64 bits stands at `littleAt` in little-endian files. */
function readUint(bytes: Buffer, offset: number, width: number, littleEndian: boolean, littleAt = offset): number {
  return littleEndian ? bytes.readUIntLE(littleAt, width) : bytes.readUIntBE(offset, width);
}

function writeUint32(bytes: Buffer, value: number, offset: number, { littleEndian }: Ranges): void {
  if (littleEndian) bytes.writeUInt32LE(value, offset);
  else bytes.writeUInt32BE(value, offset);
}

function flipBits(bytes: Buffer, range: [number, number], count: number, random: () => number): Buffer {
  for (let flip = 0; flip < count; flip++) {
    const offset = pickWithin(range, random);
    bytes[offset] = (bytes[offset] as number) ^ (1 << pick(random, 8));
  }
  return bytes;
}

function pickField({ fields }: Ranges, random: () => number): number {
  return fields[pick(random, fields.length)] as number;
}

function pickWithin([from, to]: [number, number], random: () => number): number {
  return from + pick(random, to - from);
}

/** A whole number from 0 to below `count`. */
function pick(random: () => number, count: number): number {
  return Math.floor(random() * count);
}
