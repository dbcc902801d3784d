import { createReadStream } from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { TextDecoder } from "node:util";
import { InputError } from "@fellmark/units";

const CHUNK_BYTES = 2 ** 20;
const HEAD_BYTES = 2 ** 16;

/** Largest table that is read. */
const MAX_FILE_MB = 1000;

/** Largest file that is read whole. */
const MAX_WHOLE_MB = 40;

/** First bytes of files that are often mistaken for a table, with advice. Source: magic number of each format. */
const OTHER_FILES: readonly (readonly [bytes: number[], what: string])[] = [
  [[0x50, 0x4b, 0x03, 0x04], "is a ZIP archive or a spreadsheet: save the sheet as CSV (UTF-8)"],
  [[0xd0, 0xcf, 0x11, 0xe0], "is a spreadsheet of an old format: save the sheet as CSV (UTF-8)"],
  [[0x1f, 0x8b], "is compressed: unpack it first"],
  [[0x25, 0x50, 0x44, 0x46], "is a PDF: export the table as CSV (UTF-8)"],
];

/** Encodings of text that spreadsheets write; the first without a byte order mark. */
export type TextEncoding = "utf-8" | "utf-8 with byte order mark" | "utf-16le" | "utf-16be" | "windows-1252";

const BYTE_ORDER_MARKS: readonly (readonly [bytes: number[], encoding: TextEncoding])[] = [
  [[0xef, 0xbb, 0xbf], "utf-8 with byte order mark"],
  [[0xff, 0xfe], "utf-16le"],
  [[0xfe, 0xff], "utf-16be"],
];

/** Bytes that stand for nothing in Windows-1252. Source: the WHATWG Encoding standard maps them to controls. */
const NOT_IN_1252: ReadonlySet<number> = new Set([0x81, 0x8d, 0x8f, 0x90, 0x9d]);

/** The beginning of a file's text. */
export interface FileHead {
  text: string;
  encoding: TextEncoding;
  /** True: the text is the whole file. */
  isWhole: boolean;
}

/**
 * Reads the beginning of a file and finds the encoding of all of it: by its byte order mark, else UTF-8 where every byte
 * fits, else Windows-1252. Throws InputError for one that is empty, binary, too large or in another encoding.
 */
export async function readHead(path: string): Promise<FileHead> {
  const handle = await open(path, "r").catch((error: Error) => {
    throw createUnreadableError(`cannot be read: ${error.message}`);
  });
  try {
    await refuseTooLarge(handle, MAX_FILE_MB);
    const { bytesRead, buffer } = await handle.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    const bytes = buffer.subarray(0, bytesRead);
    refuseOtherFiles(bytes);
    const encoding = findMark(bytes) ?? (await findUnmarkedEncoding(path, bytes));
    const text = decodeText(createDecoder(encoding), bytes, encoding, { stream: true });
    if (text.trim() === "") throw createUnreadableError("is empty");
    return { text, encoding, isWhole: bytesRead < HEAD_BYTES };
  } finally {
    await handle.close();
  }
}

async function refuseTooLarge(handle: FileHandle, maxMb: number): Promise<void> {
  const megabytes = (await handle.stat()).size / 1e6;
  if (megabytes > maxMb) throw createUnreadableError(`has ${Math.ceil(megabytes)} MB, more than ${maxMb}: split it`);
}

function refuseOtherFiles(bytes: Uint8Array): void {
  const other = OTHER_FILES.find(([magic]) => startsWith(bytes, magic));
  if (other) throw createUnreadableError(other[1]);
}

function startsWith(bytes: Uint8Array, start: readonly number[]): boolean {
  return start.every((byte, index) => bytes[index] === byte);
}

function findMark(bytes: Uint8Array): TextEncoding | undefined {
  return BYTE_ORDER_MARKS.find(([mark]) => startsWith(bytes, mark))?.[1];
}

async function findUnmarkedEncoding(path: string, head: Uint8Array): Promise<TextEncoding> {
  const zeros = head.reduce((count, byte) => count + Number(byte === 0), 0);
  if (zeros > head.length / 4)
    throw createUnreadableError("is UTF-16 without a byte order mark, or binary: save it as UTF-8");
  if (zeros > 0) throw createBinaryError();
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let isUtf8 = true;
  let is1252 = true;
  for await (const chunk of createReadStream(path, { highWaterMark: CHUNK_BYTES })) {
    const bytes = chunk as Uint8Array;
    isUtf8 &&= fits(decoder, bytes, true);
    is1252 &&= !bytes.some((byte) => NOT_IN_1252.has(byte));
    if (!isUtf8 && !is1252) throw createUnreadableError("is neither UTF-8 nor Windows-1252: save it as UTF-8");
  }
  return isUtf8 && fits(decoder, new Uint8Array(), false) ? "utf-8" : "windows-1252";
}

function fits(decoder: TextDecoder, bytes: Uint8Array, stream: boolean): boolean {
  try {
    decoder.decode(bytes, { stream });
    return true;
  } catch {
    return false;
  }
}

/** Reads the text of a file in pieces, without its byte order mark. Throws InputError where it is not of that encoding. */
export async function* readText(path: string, encoding: TextEncoding): AsyncGenerator<string> {
  const decoder = createDecoder(encoding);
  for await (const bytes of createReadStream(path, { highWaterMark: CHUNK_BYTES })) {
    const text = decodeText(decoder, bytes as Uint8Array, encoding, { stream: true });
    if (text.includes("\0")) throw createBinaryError();
    yield text;
  }
  yield decodeText(decoder, new Uint8Array(), encoding, {});
}

/** Reads all of a file's text, up to 40 MB. Throws InputError for one that is empty, binary or of another encoding. */
export async function readWholeText(path: string): Promise<string> {
  const { encoding } = await readHead(path);
  const handle = await open(path, "r");
  await refuseTooLarge(handle, MAX_WHOLE_MB).finally(() => handle.close());
  let whole = "";
  for await (const text of readText(path, encoding)) whole += text;
  return whole;
}

function createDecoder(encoding: TextEncoding): TextDecoder {
  return new TextDecoder(encoding === "utf-8 with byte order mark" ? "utf-8" : encoding, { fatal: true });
}

function decodeText(
  decoder: TextDecoder,
  bytes: Uint8Array,
  encoding: TextEncoding,
  options: { stream?: boolean },
): string {
  try {
    return decoder.decode(bytes, options);
  } catch {
    throw createUnreadableError(`is not ${encoding}, as its beginning says: save it as UTF-8`);
  }
}

function createBinaryError(): InputError {
  return createUnreadableError("is binary: it holds bytes that no text has");
}

export function createUnreadableError(detail: string): InputError {
  return new InputError([{ pointer: "/file", detail: `the file ${detail}` }], "unreadable_file");
}
