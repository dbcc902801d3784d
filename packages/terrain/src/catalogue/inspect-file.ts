import { createHash } from "node:crypto";
import { closeSync, constants, createReadStream, openSync } from "node:fs";
import { basename } from "node:path";
import { pipeline } from "node:stream/promises";
import { TerrainError } from "@fellmark/units";
import { readTiffHeader } from "../geotiff/tiff-header.ts";
import { hgtHeader } from "../hgt/hgt-header.ts";
import { MAX_ZIP_BYTES, zippedTileBytes } from "../hgt/hgt-zip.ts";
import { type FileIdentity, fileSource, identityOf, sameIdentity } from "../raster/byte-source.ts";
import type { RasterHeader } from "../raster/raster-header.ts";

/** What one look at a raster file gives. */
export interface Inspection {
  identity: FileIdentity;
  sha256: string;
  header: RasterHeader;
}

const inspected = new Map<string, Inspection>();

/**
 * Checks the header of a raster and hashes its content, both through one open file; remembered until the file changes.
 * Throws TerrainError with the reason for which the file is not used.
 */
export async function inspectFile(path: string): Promise<Inspection> {
  const fd = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
  try {
    const identity = identityOf(fd);
    const before = inspected.get(path);
    if (before && sameIdentity(before.identity, identity)) return before;
    const header = await readHeader(fd, identity.sizeBytes, basename(path));
    const sha256 = await hashOf(fd, path);
    if (!sameIdentity(identityOf(fd), identity))
      throw new TerrainError("source_changed", "it changed while being read");
    const inspection = { identity, sha256, header };
    inspected.set(path, inspection);
    return inspection;
  } finally {
    closeSync(fd);
  }
}

async function readHeader(fd: number, sizeBytes: number, fileName: string): Promise<RasterHeader> {
  if (/\.hgt$/i.test(fileName)) return hgtHeader(fileName, sizeBytes);
  const source = fileSource(fd, sizeBytes);
  if (/\.tiff?$/i.test(fileName)) return readTiffHeader(source);
  if (sizeBytes > MAX_ZIP_BYTES) throw new TerrainError("raster_refused", `${sizeBytes} bytes is too large for a tile`);
  return { ...hgtHeader(fileName, await zippedTileBytes(source.read(0, sizeBytes), fileName)), format: "hgt-zip" };
}

async function hashOf(fd: number, path: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(path, { fd, start: 0, autoClose: false }), hash);
  return hash.digest("hex");
}
