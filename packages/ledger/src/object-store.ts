import { randomUUID } from "node:crypto";
import { mkdirSync } from "node:fs";
import { link, readdir, rm, stat } from "node:fs/promises";
import path from "node:path";
import { NotFoundError } from "@fellmark/units";
import { checkTenant } from "./job-key.ts";
import type { ResultFile } from "./result-file.ts";
import { hashAndSyncTree, makeSyncedFolder, readNames, removeTree, syncFolder } from "./result-tree.ts";
import { runOnDisk } from "./storage-error.ts";

/** Time for which an object that nothing names stays: whoever has kept it may be about to name it. */
const GRACE_MS = 3_600_000;

/** Files by the hash of their content, for each tenant; equal files are held once, and none is ever changed. */
export interface ObjectStore {
  /** Returns a fresh empty folder to write files into. */
  stage(): Promise<string>;
  /** Keeps every file of a staged folder, which is removed. A full or broken disk is a TransientError. */
  keep(tenant: string, folder: string): Promise<ResultFile[]>;
  /** Removes a staged folder whose files are not wanted. */
  discard(folder: string): Promise<void>;
  /** Returns the absolute path of an object. Throws NotFoundError for what cannot be one. */
  findPath(tenant: string, sha256: string): string;
  /** Removes staged folders and objects that nothing names, once they are an hour old; returns how many objects. */
  sweep(kept: readonly { tenant: string; sha256: string }[], nowMs: number): Promise<number>;
}

/** Opens objects below one folder: staged/UUID while they are written, TENANT/AB/ABCDEF... afterwards. */
export function openObjectStore(dir: string): ObjectStore {
  const staged = path.join(dir, "staged");
  const objects = path.join(dir, "kept");
  const findPath = (tenant: string, sha256: string) => {
    checkTenant(tenant);
    if (!/^[0-9a-f]{64}$/.test(sha256)) throw new NotFoundError("not found: no such object");
    return path.join(objects, tenant, sha256.slice(0, 2), sha256);
  };
  return {
    findPath,
    stage: () =>
      runOnDisk(async () => {
        mkdirSync(dir, { recursive: true });
        const folder = path.join(staged, randomUUID());
        await makeSyncedFolder(dir, folder);
        return folder;
      }),
    keep: (tenant, folder) =>
      runOnDisk(async () => {
        const files = await hashAndSyncTree(folder);
        for (const { name, sha256 } of files) await addObject(dir, path.join(folder, name), findPath(tenant, sha256));
        await removeTree(folder);
        return files;
      }),
    discard: removeTree,
    async sweep(kept, nowMs) {
      for (const name of await readNames(staged)) {
        if (await isOlder(path.join(staged, name), nowMs)) await removeTree(path.join(staged, name));
      }
      const wanted = new Set(kept.map(({ tenant, sha256 }) => findPath(tenant, sha256)));
      let removed = 0;
      for (const file of await listFiles(objects)) {
        if (wanted.has(file) || !(await isOlder(file, nowMs))) continue;
        await rm(file, { force: true });
        removed++;
      }
      return removed;
    },
  };
}

/** One link is atomic: the object is there whole, or not at all. */
async function addObject(dir: string, from: string, to: string): Promise<void> {
  await makeSyncedFolder(dir, path.dirname(to));
  await link(from, to).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== "EEXIST") throw error;
  });
  await syncFolder(path.dirname(to));
}

async function listFiles(folder: string): Promise<string[]> {
  const found = await readdir(folder, { recursive: true, withFileTypes: true }).catch(() => []);
  return found.filter((entry) => entry.isFile()).map((entry) => path.join(entry.parentPath, entry.name));
}

async function isOlder(file: string, nowMs: number): Promise<boolean> {
  const found = await stat(file).catch(() => undefined);
  return found !== undefined && nowMs - found.ctimeMs > GRACE_MS;
}
