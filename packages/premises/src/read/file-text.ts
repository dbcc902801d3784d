import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { TextDecoder } from "node:util";
import { InputError } from "@fellmark/units";

const CHUNK_BYTES = 2 ** 20;
const HEAD_BYTES = 2 ** 16;

/** First bytes of files that are often mistaken for a table, with advice. Source: magic number of each format. */
const OTHER_FILES: readonly (readonly [bytes: number[], what: string])[] = [
  [[0x50, 0x4b, 0x03, 0x04], "is a ZIP archive or a spreadsheet: save the sheet as CSV (UTF-8)"],
  [[0xd0, 0xcf, 0x11, 0xe0], "is a spreadsheet of an old format: save the sheet as CSV (UTF-8)"],
  [[0x1f, 0x8b], "is compressed: unpack it first"],
  [[0x25, 0x50, 0x44, 0x46], "is a PDF: export the table as CSV (UTF-8)"],
  [[0xff, 0xfe], "is UTF-16: save it as UTF-8"],
  [[0xfe, 0xff], "is UTF-16: save it as UTF-8"],
];

/** The beginning of a file's text. */
export interface FileHead {
  text: string;
  hasByteOrderMark: boolean;
  /** True: the text is the whole file. */
  isWhole: boolean;
}

/** Reads the beginning of a file. Throws InputError for one that is empty, binary or not UTF-8. */
export async function readHead(path: string): Promise<FileHead> {
  const handle = await open(path, "r").catch((error: Error) => {
    throw createUnreadableError(`cannot be read: ${error.message}`);
  });
  try {
    const { bytesRead, buffer } = await handle.read(Buffer.alloc(HEAD_BYTES), 0, HEAD_BYTES, 0);
    const bytes = buffer.subarray(0, bytesRead);
    refuseOtherFiles(bytes);
    const decoder = new TextDecoder("utf-8", { fatal: true });
    const text = decodeText(decoder, bytes, { stream: true });
    if (text.trim() === "") throw createUnreadableError("is empty");
    const hasByteOrderMark = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
    return { text, hasByteOrderMark, isWhole: bytesRead < HEAD_BYTES };
  } finally {
    await handle.close();
  }
}

function refuseOtherFiles(bytes: Uint8Array): void {
  const other = OTHER_FILES.find(([magic]) => magic.every((byte, index) => bytes[index] === byte));
  if (other) throw createUnreadableError(other[1]);
  const zeros = bytes.reduce((count, byte) => count + Number(byte === 0), 0);
  if (zeros > bytes.length / 4)
    throw createUnreadableError("is UTF-16 without a byte order mark, or binary: save it as UTF-8");
  if (zeros > 0) throw createUnreadableError("is binary: it holds bytes that no text has");
}

/** Reads the text of a file in pieces, without its byte order mark. Throws InputError where it is not UTF-8. */
export async function* readText(path: string): AsyncGenerator<string> {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  for await (const bytes of createReadStream(path, { highWaterMark: CHUNK_BYTES })) {
    const text = decodeText(decoder, bytes as Uint8Array, { stream: true });
    if (text.includes("\0")) throw createUnreadableError("is binary: it holds bytes that no text has");
    yield text;
  }
  yield decodeText(decoder, new Uint8Array(), {});
}

/** Reads all of a file's text. Throws InputError for one that is empty, binary or not UTF-8. */
export async function readWholeText(path: string): Promise<string> {
  await readHead(path);
  let whole = "";
  for await (const text of readText(path)) whole += text;
  return whole;
}

function decodeText(decoder: TextDecoder, bytes: Uint8Array, options: { stream?: boolean }): string {
  try {
    return decoder.decode(bytes, options);
  } catch {
    throw createUnreadableError("is not UTF-8, perhaps an older encoding of one byte a letter: save it as UTF-8");
  }
}

export function createUnreadableError(detail: string): InputError {
  return new InputError([{ pointer: "/file", detail: `the file ${detail}` }], "unreadable_file");
}
