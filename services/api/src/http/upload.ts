import { randomUUID } from "node:crypto";
import { createWriteStream } from "node:fs";
import { mkdir, readdir, rm, stat } from "node:fs/promises";
import path from "node:path";
import { Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import { FellmarkError } from "@fellmark/units";
import type { Request } from "express";
import { letBodyTakeLong } from "./body-time.ts";

/** An upload this old was left by a process that died. */
const ABANDONED_MS = 3_600_000;

export interface UploadPlace {
  dir: string;
  maxBytes: number;
}

/**
 * Streams a body to a file, which is there while the work is done and no longer.
 * Throws FellmarkError 'too_large' for a body over the limit, at once where its length is stated.
 */
export async function useUpload<T>(req: Request, place: UploadPlace, work: (file: string) => Promise<T>): Promise<T> {
  if (Number(req.get("Content-Length") ?? 0) > place.maxBytes) throw createTooLarge(place);
  await mkdir(place.dir, { recursive: true });
  await removeAbandoned(place.dir);
  const file = path.join(place.dir, randomUUID());
  try {
    await writeBody(req, file, place);
    return await work(file);
  } finally {
    await rm(file, { force: true });
  }
}

/**
 * Writes the body to a file. When that fails the rest of the body stays readable, so that the reply is not cut, and the
 * file is closed: one still being opened would appear after its removal.
 */
async function writeBody(req: Request, file: string, place: UploadPlace): Promise<void> {
  const limited = createLimit(place);
  const written = createWriteStream(file);
  const closed = new Promise<void>((resolve) => written.once("close", resolve));
  const abort = () => limited.destroy(new FellmarkError("bad_request", "the body ended early"));
  req.once("aborted", abort);
  letBodyTakeLong(req);
  try {
    await pipeline(req.pipe(limited), written);
  } catch (error) {
    req.unpipe(limited);
    await closed;
    throw error;
  } finally {
    req.off("aborted", abort);
  }
}

function createLimit(place: UploadPlace): Transform {
  let bytes = 0;
  return new Transform({
    transform(chunk: Buffer, _encoding, done) {
      bytes += chunk.length;
      if (bytes > place.maxBytes) done(createTooLarge(place));
      else done(null, chunk);
    },
  });
}

function createTooLarge({ maxBytes }: UploadPlace): FellmarkError {
  return new FellmarkError("too_large", `the body is over ${Math.round(maxBytes / 1e6)} MB`);
}

async function removeAbandoned(dir: string): Promise<void> {
  for (const name of await readdir(dir)) {
    const file = path.join(dir, name);
    const found = await stat(file).catch(() => undefined);
    if (found && Date.now() - found.mtimeMs > ABANDONED_MS) await rm(file, { force: true });
  }
}
