import { createHash } from "node:crypto";
import { mkdir, open, readFile, rename, rm, utimes } from "node:fs/promises";
import { join } from "node:path";
import type { LatticeWindow } from "@fellmark/geodesy";
import { createLossRasters, type LossRasters } from "@fellmark/sweep";
import type { PlausibilityFlag, TerrainKind } from "@fellmark/terrain";
import { type LossCacheLimits, nameEntry, nameTemporary, sweepLossCache } from "./loss-cache-files.ts";

/** The terrain behind a loss raster. */
export interface TerrainUse {
  kind: TerrainKind;
  files: { name: string; sha256: string; resolutionM: number }[];
  filledCells: number;
  /** Antenna at the mast, m above sea level. */
  mastAmslM: number;
  flags: PlausibilityFlag[];
}

/** Loss rasters on disk by the hash of their inputs; a broken or foreign entry counts as absent, and so does one that cannot be written. */
export interface LossCache {
  read(key: string, window: LatticeWindow): Promise<{ rasters: LossRasters; terrain: TerrainUse } | undefined>;
  write(key: string, loss: { rasters: LossRasters; terrain: TerrainUse }): Promise<void>;
}

const DIGEST_BYTES = 32;
const LENGTH_BYTES = 4;

/**
 * Opens the cache of a folder. An entry: SHA-256 of the rest, length of the terrain record, that record as JSON, then
 * the three rasters. An entry that cannot be read or written counts as absent.
 */
export function createLossCache(folder: string, limits: LossCacheLimits): LossCache {
  return {
    async read(key, window) {
      const path = join(folder, nameEntry(key));
      const bytes = await readFile(path).catch(() => undefined);
      const loss = bytes && decode(bytes, window);
      if (loss) await utimes(path, new Date(), new Date()).catch(() => undefined);
      return loss;
    },

    async write(key, loss) {
      const temporary = join(folder, nameTemporary(key));
      try {
        await mkdir(folder, { recursive: true });
        await writeParts(temporary, encode(loss));
        await rename(temporary, join(folder, nameEntry(key)));
        await sweepLossCache(folder, limits);
      } catch {
        // A full or broken disk: the next one sweeps anew, which is all that the cache spares.
        await rm(temporary, { force: true }).catch(() => undefined);
      }
    },
  };
}

async function writeParts(path: string, parts: Uint8Array[]): Promise<void> {
  const file = await open(path, "wx");
  try {
    for (const part of parts) await file.writeFile(part);
  } finally {
    await file.close();
  }
}

function countRasterBytes(rasters: LossRasters): Uint8Array[] {
  return [rasters.excessDb, rasters.raysCdeg, rasters.cellClass].map(
    (raster) => new Uint8Array(raster.buffer, raster.byteOffset, raster.byteLength),
  );
}

function encode(loss: { rasters: LossRasters; terrain: TerrainUse }): Uint8Array[] {
  const record = Buffer.from(JSON.stringify(loss.terrain));
  const length = Buffer.alloc(LENGTH_BYTES);
  length.writeUInt32LE(record.length);
  const parts = [length, record, ...countRasterBytes(loss.rasters)];
  const digest = createHash("sha256");
  for (const part of parts) digest.update(part);
  return [digest.digest(), ...parts];
}

function decode(bytes: Buffer, window: LatticeWindow): { rasters: LossRasters; terrain: TerrainUse } | undefined {
  if (bytes.length < DIGEST_BYTES + LENGTH_BYTES) return undefined;
  const body = bytes.subarray(DIGEST_BYTES);
  if (!createHash("sha256").update(body).digest().equals(bytes.subarray(0, DIGEST_BYTES))) return undefined;
  const recordEnd = LENGTH_BYTES + body.readUInt32LE(0);
  const rasters = createLossRasters(window);
  let offset = recordEnd;
  for (const raster of countRasterBytes(rasters)) {
    if (offset + raster.length > body.length) return undefined;
    raster.set(body.subarray(offset, offset + raster.length));
    offset += raster.length;
  }
  return { rasters, terrain: JSON.parse(body.subarray(LENGTH_BYTES, recordEnd).toString()) as TerrainUse };
}
