import { TerrainError } from "@fellmark/units";
import type { ByteSource } from "../raster/byte-source.ts";

/** A raster's own directory, its overviews and masks; no real file comes near. */
const MAX_DIRECTORIES = 64;
const MAX_ENTRIES = 1024;

/** Bytes of one value of each field type, by its number; 0 for none. Source: TIFF 6.0, section 2; BigTIFF adds 16 to 18. */
const TYPE_BYTES = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8];

interface Entry {
  type: number;
  count: number;
  /** Position in the file of the first value. */
  at: number;
}

/** The byte order and the two widths that tell classic TIFF from BigTIFF. */
interface Dialect {
  littleEndian: boolean;
  big: boolean;
}

/** The fields of one image file directory; values are read on demand, with a bound on how many. */
export interface TiffDirectory {
  littleEndian: boolean;
  has(tag: number): boolean;
  /** All values of a field of whole numbers or doubles. Throws `raster_refused` when absent or more than `maxCount`. */
  numbers(tag: number, maxCount: number): Float64Array;
  /** The single value of a field, or `absent` where the field is not there. */
  number(tag: number, absent?: number): number;
  /** Text without its final zero; undefined where the field is not there. */
  text(tag: number, maxCount: number): string | undefined;
}

/**
 * Walks the whole chain of directories, bounded and without cycles, before anything of it is used.
 * Throws TerrainError `raster_refused` or `raster_truncated`.
 */
export function readTiffDirectories(source: ByteSource): TiffDirectory[] {
  const { dialect, first } = readStart(source);
  const seen = new Set<number>();
  const directories: TiffDirectory[] = [];
  for (let at = first; at !== 0; ) {
    if (seen.has(at)) throw refused("the chain of directories runs in a circle");
    if (seen.size === MAX_DIRECTORIES) throw refused(`more than ${MAX_DIRECTORIES} directories`);
    seen.add(at);
    const { entries, next } = readEntries(source, dialect, at);
    directories.push(directoryOf(source, dialect, entries));
    at = next;
  }
  if (directories.length === 0) throw refused("no directory");
  return directories;
}

function readStart(source: ByteSource): { dialect: Dialect; first: number } {
  const header = source.read(0, 8);
  const order = header.toString("latin1", 0, 2);
  if (order !== "II" && order !== "MM") throw refused("not a TIFF file");
  const littleEndian = order === "II";
  const version = uint(header, 2, 2, littleEndian);
  if (version === 42) return { dialect: { littleEndian, big: false }, first: uint(header, 4, 4, littleEndian) };
  if (version !== 43 || uint(header, 4, 2, littleEndian) !== 8) throw refused("not a TIFF file of a known version");
  return { dialect: { littleEndian, big: true }, first: uint(source.read(8, 8), 0, 8, littleEndian) };
}

function readEntries(source: ByteSource, { littleEndian, big }: Dialect, at: number) {
  const countBytes = big ? 8 : 2;
  const pointerBytes = big ? 8 : 4;
  const entryBytes = big ? 20 : 12;
  const count = uint(source.read(at, countBytes), 0, countBytes, littleEndian);
  if (count === 0 || count > MAX_ENTRIES) throw refused(`a directory of ${count} fields`);
  const table = source.read(at + countBytes, count * entryBytes + pointerBytes);
  const entries = new Map<number, Entry>();
  for (let start = 0; start < count * entryBytes; start += entryBytes) {
    const tag = uint(table, start, 2, littleEndian);
    const type = uint(table, start + 2, 2, littleEndian);
    const values = uint(table, start + 4, pointerBytes, littleEndian);
    const bytes = values * (TYPE_BYTES[type] ?? 1);
    const place = start + 4 + pointerBytes;
    const inline = bytes <= pointerBytes;
    const valuesAt = inline ? at + countBytes + place : uint(table, place, pointerBytes, littleEndian);
    if (valuesAt + bytes > source.sizeBytes) throw refused(`field ${tag} of ${values} values lies outside the file`);
    entries.set(tag, { type, count: values, at: valuesAt });
  }
  return { entries, next: uint(table, count * entryBytes, pointerBytes, littleEndian) };
}

function directoryOf(source: ByteSource, { littleEndian }: Dialect, entries: Map<number, Entry>): TiffDirectory {
  const bytesOf = (tag: number, { type, count, at }: Entry, maxCount: number) => {
    if (count > maxCount) throw refused(`field ${tag} has ${count} values, more than ${maxCount}`);
    return source.read(at, count * (TYPE_BYTES[type] ?? 0));
  };
  const numbers = (tag: number, maxCount: number) => {
    const entry = entries.get(tag);
    if (!entry || entry.count === 0) throw refused(`field ${tag} is missing`);
    return numbersOf(bytesOf(tag, entry, maxCount), entry, tag, littleEndian);
  };
  return {
    littleEndian,
    has: (tag) => entries.has(tag),
    numbers,
    number: (tag, absent) => (absent !== undefined && !entries.has(tag) ? absent : (numbers(tag, 1)[0] as number)),
    text(tag, maxCount) {
      const entry = entries.get(tag);
      return entry && bytesOf(tag, entry, maxCount).toString("latin1").replace(/\0.*$/s, "");
    },
  };
}

function numbersOf(bytes: Buffer, { type, count }: Entry, tag: number, littleEndian: boolean): Float64Array {
  const width = TYPE_BYTES[type] as number;
  if (type === 12) {
    return Float64Array.from({ length: count }, (_, index) =>
      littleEndian ? bytes.readDoubleLE(index * 8) : bytes.readDoubleBE(index * 8),
    );
  }
  if (![1, 3, 4, 13, 16, 18].includes(type)) throw refused(`field ${tag} has values of type ${type}`);
  return Float64Array.from({ length: count }, (_, index) => uint(bytes, index * width, width, littleEndian));
}

/** A whole number of 1, 2, 4 or 8 bytes; those beyond 2^53 lose their last digits, and lie outside any file. */
function uint(bytes: Buffer, at: number, width: number, littleEndian: boolean): number {
  if (width === 8) return Number(littleEndian ? bytes.readBigUInt64LE(at) : bytes.readBigUInt64BE(at));
  return littleEndian ? bytes.readUIntLE(at, width) : bytes.readUIntBE(at, width);
}

function refused(reason: string): TerrainError {
  return new TerrainError("raster_refused", reason);
}
