import { createHash } from "node:crypto";
import { mkdir, open, readdir, readFile, rename, rm, stat, utimes } from "node:fs/promises";
import { join } from "node:path";
import type { LatticeWindow } from "@fellmark/geodesy";
import { emptyLossRasters, type LossRasters } from "@fellmark/sweep";
import type { PlausibilityFlag, TerrainKind } from "@fellmark/terrain";

/** The terrain behind a loss raster. */
export interface TerrainUse {
  kind: TerrainKind;
  files: { name: string; sha256: string; resolutionM: number }[];
  filledCells: number;
  flags: PlausibilityFlag[];
}

/** Loss rasters on disk by the hash of their inputs; a broken or foreign entry counts as absent. */
export interface LossCache {
  read(key: string, window: LatticeWindow): Promise<{ rasters: LossRasters; terrain: TerrainUse } | undefined>;
  write(key: string, loss: { rasters: LossRasters; terrain: TerrainUse }): Promise<void>;
}

const SUFFIX = ".loss";
const DIGEST_BYTES = 32;
const LENGTH_BYTES = 4;

/** An entry: SHA-256 of the rest, length of the terrain record, that record as JSON, then the three rasters. */
export function createLossCache(folder: string, maxBytes: number): LossCache {
  const pathOf = (key: string) => join(folder, `${key}${SUFFIX}`);

  return {
    async read(key, window) {
      const bytes = await readFile(pathOf(key)).catch(() => undefined);
      const loss = bytes && decode(bytes, window);
      if (loss) await utimes(pathOf(key), new Date(), new Date()).catch(() => undefined);
      return loss;
    },

    async write(key, loss) {
      await mkdir(folder, { recursive: true });
      const parts = encode(loss);
      const temporary = `${pathOf(key)}.${process.pid}.tmp`;
      const file = await open(temporary, "w");
      try {
        await file.writev(parts);
      } finally {
        await file.close();
      }
      await rename(temporary, pathOf(key));
      await evict(folder, maxBytes);
    },
  };
}

function rasterBytes(rasters: LossRasters): Uint8Array[] {
  return [rasters.excessDb, rasters.raysCdeg, rasters.cellClass].map(
    (raster) => new Uint8Array(raster.buffer, raster.byteOffset, raster.byteLength),
  );
}

function encode(loss: { rasters: LossRasters; terrain: TerrainUse }): Uint8Array[] {
  const record = Buffer.from(JSON.stringify(loss.terrain));
  const length = Buffer.alloc(LENGTH_BYTES);
  length.writeUInt32LE(record.length);
  const parts = [length, record, ...rasterBytes(loss.rasters)];
  const digest = createHash("sha256");
  for (const part of parts) digest.update(part);
  return [digest.digest(), ...parts];
}

function decode(bytes: Buffer, window: LatticeWindow): { rasters: LossRasters; terrain: TerrainUse } | undefined {
  if (bytes.length < DIGEST_BYTES + LENGTH_BYTES) return undefined;
  const body = bytes.subarray(DIGEST_BYTES);
  if (!createHash("sha256").update(body).digest().equals(bytes.subarray(0, DIGEST_BYTES))) return undefined;
  const recordEnd = LENGTH_BYTES + body.readUInt32LE(0);
  const rasters = emptyLossRasters(window);
  let offset = recordEnd;
  for (const raster of rasterBytes(rasters)) {
    if (offset + raster.length > body.length) return undefined;
    raster.set(body.subarray(offset, offset + raster.length));
    offset += raster.length;
  }
  return { rasters, terrain: JSON.parse(body.subarray(LENGTH_BYTES, recordEnd).toString()) as TerrainUse };
}

/** Removes the least recently used entries until the folder holds no more than `maxBytes`. */
async function evict(folder: string, maxBytes: number): Promise<void> {
  const names = (await readdir(folder)).filter((name) => name.endsWith(SUFFIX));
  const entries = await Promise.all(
    names.map(async (name) => {
      const { size, mtimeMs } = await stat(join(folder, name));
      return { name, size, mtimeMs };
    }),
  );
  entries.sort((a, b) => b.mtimeMs - a.mtimeMs);
  let bytes = 0;
  for (const { name, size } of entries) {
    bytes += size;
    if (bytes > maxBytes) await rm(join(folder, name), { force: true });
  }
}
