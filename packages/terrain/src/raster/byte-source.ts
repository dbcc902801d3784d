import { closeSync, fstatSync, openSync, readSync } from "node:fs";
import { TerrainError, TransientError } from "@fellmark/units";

/** Random access to the bytes of one raster. Reads are synchronous: rasters are read in a process of their own. */
export interface ByteSource {
  readonly sizeBytes: number;
  /** A copy of `length` bytes from `offset`. Throws TerrainError `raster_truncated` when they are not all there. */
  read(offset: number, length: number): Buffer;
}

/** Properties of a file that change when its content changes; the time of the last change of status cannot be set. */
export interface FileIdentity {
  sizeBytes: number;
  mtimeMs: number;
  ctimeMs: number;
  inode: number;
}

export function readIdentity(fd: number): FileIdentity {
  const { size, mtimeMs, ctimeMs, ino } = fstatSync(fd);
  return { sizeBytes: size, mtimeMs, ctimeMs, inode: ino };
}

export function isSameIdentity(one: FileIdentity, other: FileIdentity): boolean {
  return (
    one.sizeBytes === other.sizeBytes &&
    one.mtimeMs === other.mtimeMs &&
    one.ctimeMs === other.ctimeMs &&
    one.inode === other.inode
  );
}

/** A source over an open file. Each read is checked: it throws TerrainError `source_changed` where the file is another. */
export function createFileSource(fd: number, identity: FileIdentity): ByteSource {
  const { sizeBytes } = identity;
  return {
    sizeBytes,
    read(offset, length) {
      requireInside(offset, length, sizeBytes);
      const bytes = Buffer.alloc(length);
      for (let done = 0; done < length; ) {
        const got = readSome(fd, bytes, done, offset + done);
        if (got === 0) throw createTruncatedError(offset + done, sizeBytes);
        done += got;
      }
      if (!isSameIdentity(readIdentity(fd), identity)) throw createChangedError("the file changed while it was read");
      return bytes;
    },
  };
}

function readSome(fd: number, bytes: Buffer, done: number, position: number): number {
  try {
    return readSync(fd, bytes, done, bytes.length - done, position);
  } catch (error) {
    throw createUnreadableError(error);
  }
}

/** A source over bytes in memory. */
export function createMemorySource(bytes: Buffer): ByteSource {
  return {
    sizeBytes: bytes.length,
    read(offset, length) {
      requireInside(offset, length, bytes.length);
      return Buffer.from(bytes.subarray(offset, offset + length));
    },
  };
}

/**
 * Opens a file for as long as `use` runs, and checks that it still has the content that `expected` stands for.
 * Throws TerrainError `source_changed` where it has not, TransientError `raster_unreadable` where the system refuses.
 */
export async function useFile<T>(
  path: string,
  expected: FileIdentity,
  use: (fd: number) => T | Promise<T>,
): Promise<T> {
  const fd = openExisting(path);
  try {
    if (!isSameIdentity(readIdentity(fd), expected))
      throw createChangedError("the file changed after the terrain was opened");
    return await use(fd);
  } finally {
    closeSync(fd);
  }
}

function openExisting(path: string): number {
  try {
    return openSync(path, "r");
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") throw createChangedError("the file is gone", error);
    throw createUnreadableError(error);
  }
}

function createChangedError(reason: string, cause?: unknown): TerrainError {
  return new TerrainError("source_changed", reason, { cause });
}

function createUnreadableError(cause: unknown): TransientError {
  return new TransientError(
    "raster_unreadable",
    `the file cannot be read (${String((cause as NodeJS.ErrnoException).code)})`,
    { cause },
  );
}

function requireInside(offset: number, length: number, sizeBytes: number): void {
  if (!(offset >= 0 && length >= 0 && offset + length <= sizeBytes))
    throw createTruncatedError(offset + length, sizeBytes);
}

function createTruncatedError(endByte: number, sizeBytes: number): TerrainError {
  return new TerrainError(
    "raster_truncated",
    `the file ends at byte ${sizeBytes}, before byte ${endByte} it refers to`,
  );
}
