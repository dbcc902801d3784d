import type { ByteSource } from "../raster/byte-source.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { TAG } from "./tiff-tags.ts";

/** Limit of image, overviews and masks of a file; real files have fewer. */
const MAX_DIRECTORIES = 64;
const MAX_FIELDS = 1024;

/** Bytes of one value of each field type, by its number; 0 for none. Source: TIFF 6.0, section 2; BigTIFF adds 16 to 18. */
const TYPE_BYTES = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8];

/** Field types of whole numbers, of numbers and of text. */
const WHOLE = [1, 3, 4, 13, 16, 18];
const NUMBER = [...WHOLE, 12];
const TEXT = [2];

/** The fields that the library reads, with the types and the number of values that they may have. */
const LIMITS: [tag: number, types: readonly number[], maxCount: number][] = [
  [TAG.photometric, WHOLE, 1],
  [TAG.orientation, WHOLE, 1],
  [TAG.planarConfiguration, WHOLE, 1],
  [TAG.pixelScale, NUMBER, 3],
  [TAG.tiePoint, NUMBER, 6],
  [TAG.transformation, NUMBER, 16],
  [TAG.geoKeys, WHOLE, 4096],
  [TAG.geoDoubles, NUMBER, 4096],
  [TAG.geoText, TEXT, 65_536],
  [TAG.gdalMetadata, TEXT, 65_536],
  [TAG.gdalNoData, TEXT, 64],
];

/** Fields that the library loads with each directory but that are not used: old subfile type, extra samples, JPEG, LERC. */
const LOADED_UNUSED = [255, 338, 347, 50674];
const MAX_UNUSED_VALUES = 65_536;

interface Field {
  type: number;
  count: number;
  /** Position in the file of the first value. */
  offset: number;
}

/** The byte order, and classic TIFF or BigTIFF. */
interface Dialect {
  littleEndian: boolean;
  big: boolean;
}

/** The checked fields of one image file directory: whole numbers are read on demand, with a bound on how many. */
export interface CheckedDirectory {
  littleEndian: boolean;
  has(tag: number): boolean;
  /** Returns all values of a field of whole numbers. Throws `raster_refused` where it is absent or has more than `maxCount`. */
  readList(tag: number, maxCount: number): Float64Array;
  /** Returns the single value of a field of whole numbers, or `absent` where the field does not exist. */
  read(tag: number, absent?: number): number;
}

/**
 * Walks the whole chain of directories, bounded and without cycles, before a library sees any of it: every field lies
 * inside the file, stands once and in order (TIFF 6.0, section 2), and has a size that is safe to load.
 * Throws TerrainError `raster_refused` or `raster_truncated`.
 */
export function checkDirectories(source: ByteSource): CheckedDirectory[] {
  const { dialect, first } = readStart(source);
  const seen = new Set<number>();
  const directories: CheckedDirectory[] = [];
  for (let offset = first; offset !== 0; ) {
    if (seen.has(offset)) throw refuseRaster("the chain of directories runs in a circle");
    if (seen.size === MAX_DIRECTORIES) throw refuseRaster(`more than ${MAX_DIRECTORIES} directories`);
    seen.add(offset);
    const { fields, next } = readFields(source, dialect, offset);
    checkLimits(fields);
    directories.push(createDirectory(source, dialect, fields));
    offset = next;
  }
  if (directories.length === 0) throw refuseRaster("no directory");
  return directories;
}

function readStart(source: ByteSource): { dialect: Dialect; first: number } {
  const header = source.read(0, 8);
  const order = header.toString("latin1", 0, 2);
  if (order !== "II" && order !== "MM") throw refuseRaster("not a TIFF file");
  const littleEndian = order === "II";
  const version = readUint(header, 2, 2, littleEndian);
  if (version === 42) return { dialect: { littleEndian, big: false }, first: readUint(header, 4, 4, littleEndian) };
  if (version !== 43 || readUint(header, 4, 2, littleEndian) !== 8)
    throw refuseRaster("not a TIFF file of a known version");
  return { dialect: { littleEndian, big: true }, first: readUint(source.read(8, 8), 0, 8, littleEndian) };
}

function readFields(source: ByteSource, { littleEndian, big }: Dialect, offset: number) {
  const countBytes = big ? 8 : 2;
  const pointerBytes = big ? 8 : 4;
  const fieldBytes = big ? 20 : 12;
  const count = readUint(source.read(offset, countBytes), 0, countBytes, littleEndian);
  if (count === 0 || count > MAX_FIELDS) throw refuseRaster(`a directory of ${count} fields`);
  const table = source.read(offset + countBytes, count * fieldBytes + pointerBytes);
  const fields = new Map<number, Field>();
  let previous = -1;
  for (let start = 0; start < count * fieldBytes; start += fieldBytes) {
    const tag = readUint(table, start, 2, littleEndian);
    const type = readUint(table, start + 2, 2, littleEndian);
    const values = readUint(table, start + 4, pointerBytes, littleEndian);
    const place = start + 4 + pointerBytes;
    const bytes = values * (TYPE_BYTES[type] ?? 0);
    if (!TYPE_BYTES[type]) throw refuseRaster(`field ${tag} has values of type ${type}, which is not a TIFF type`);
    if (tag <= previous) throw refuseRaster(`field ${tag} is not in order or appears twice`);
    previous = tag;
    const valuesAt =
      bytes <= pointerBytes ? offset + countBytes + place : readUint(table, place, pointerBytes, littleEndian);
    if (valuesAt + bytes > source.sizeBytes)
      throw refuseRaster(`field ${tag} of ${values} values lies outside the file`);
    fields.set(tag, { type, count: values, offset: valuesAt });
  }
  return { fields, next: readUint(table, count * fieldBytes, pointerBytes, littleEndian) };
}

function checkLimits(fields: ReadonlyMap<number, Field>): void {
  for (const [tag, types, maxCount] of LIMITS) checkField(fields, tag, types, maxCount);
  for (const tag of LOADED_UNUSED) checkField(fields, tag, [...TYPE_BYTES.keys()], MAX_UNUSED_VALUES);
}

function checkField(
  fields: ReadonlyMap<number, Field>,
  tag: number,
  types: readonly number[],
  maxCount: number,
): Field | undefined {
  const field = fields.get(tag);
  if (!field) return undefined;
  if (field.count > maxCount) throw refuseRaster(`field ${tag} has ${field.count} values, more than ${maxCount}`);
  if (!types.includes(field.type))
    throw refuseRaster(`field ${tag} has values of type ${field.type}, not ${types.join(" or ")}`);
  return field;
}

function createDirectory(
  source: ByteSource,
  { littleEndian }: Dialect,
  fields: ReadonlyMap<number, Field>,
): CheckedDirectory {
  const readList = (tag: number, maxCount: number) => {
    const field = checkField(fields, tag, WHOLE, maxCount);
    if (!field || field.count === 0) throw refuseRaster(`field ${tag} is missing`);
    const width = TYPE_BYTES[field.type] as number;
    const bytes = source.read(field.offset, field.count * width);
    return Float64Array.from({ length: field.count }, (_, index) =>
      readUint(bytes, index * width, width, littleEndian),
    );
  };
  return {
    littleEndian,
    has: (tag) => fields.has(tag),
    readList,
    read: (tag, absent) => (absent !== undefined && !fields.has(tag) ? absent : (readList(tag, 1)[0] as number)),
  };
}

/** Reads a whole number of 1, 2, 4 or 8 bytes. Numbers beyond 2^53 lose their last digits; they lie outside any file. */
function readUint(bytes: Buffer, offset: number, width: number, littleEndian: boolean): number {
  if (width === 8) return Number(littleEndian ? bytes.readBigUInt64LE(offset) : bytes.readBigUInt64BE(offset));
  return littleEndian ? bytes.readUIntLE(offset, width) : bytes.readUIntBE(offset, width);
}
