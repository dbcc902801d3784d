import { createHash } from "node:crypto";
import { closeSync, constants, createReadStream, openSync } from "node:fs";
import { basename } from "node:path";
import { pipeline } from "node:stream/promises";
import { TerrainError } from "@fellmark/units";
import { readTiffHeader } from "../geotiff/tiff-header.ts";
import { buildHgtHeader } from "../hgt/hgt-header.ts";
import { MAX_ZIP_BYTES, readZippedSize } from "../hgt/hgt-zip.ts";
import { createFileSource, type FileIdentity, isSameIdentity, readIdentity } from "../raster/byte-source.ts";
import type { RasterHeader } from "../raster/raster-header.ts";
import { refuseRaster } from "../raster/refuse-raster.ts";
import { addHash, findKnownHash } from "./known-hashes.ts";

/** Identity, hash and header of a raster file, read through one open file. */
export interface Inspection {
  identity: FileIdentity;
  sha256: string;
  header: RasterHeader;
}

const inspected = new Map<string, Inspection>();

/**
 * Checks the header of a raster and hashes its content, both through one open file; remembered until the file changes.
 * Throws TerrainError with the reason why the file is not used.
 */
export async function inspectFile(path: string): Promise<Inspection> {
  const fd = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    const identity = readIdentity(fd);
    const before = inspected.get(path);
    if (before && isSameIdentity(before.identity, identity)) return before;
    const header = await readHeader(fd, identity, basename(path));
    const sha256 = findKnownHash(path, identity) ?? (await hashFile(fd, path));
    if (!isSameIdentity(readIdentity(fd), identity))
      throw new TerrainError("source_changed", "it changed while it was read");
    if (findKnownHash(path, identity) === undefined) addHash({ path, identity, sha256 });
    const inspection = { identity, sha256, header };
    inspected.set(path, inspection);
    return inspection;
  } finally {
    closeSync(fd);
  }
}

async function readHeader(fd: number, identity: FileIdentity, fileName: string): Promise<RasterHeader> {
  const { sizeBytes } = identity;
  if (/\.hgt$/i.test(fileName)) return buildHgtHeader(fileName, sizeBytes);
  const source = createFileSource(fd, identity);
  if (/\.tiff?$/i.test(fileName)) return readTiffHeader(source);
  if (sizeBytes > MAX_ZIP_BYTES) throw refuseRaster(`${sizeBytes} bytes is too large for a tile`);
  return { ...buildHgtHeader(fileName, await readZippedSize(source.read(0, sizeBytes), fileName)), format: "hgt-zip" };
}

async function hashFile(fd: number, path: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(path, { fd, start: 0, autoClose: false }), hash);
  return hash.digest("hex");
}
