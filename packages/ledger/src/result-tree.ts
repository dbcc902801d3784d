import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { lstat, mkdir, open, readdir, rm, stat } from "node:fs/promises";
import path from "node:path";
import { pipeline } from "node:stream/promises";
import { FellmarkError } from "@fellmark/units";
import type { ResultFile } from "./result-file.ts";

/** Returns every file with its size and hash, in the order of the names; all is on disk afterwards. */
export async function hashAndSyncTree(root: string): Promise<ResultFile[]> {
  const { files, folders } = await listTree(root);
  const hashed: ResultFile[] = [];
  for (const name of files) hashed.push({ name, ...(await hashAndSync(path.join(root, name))) });
  for (const name of folders) await syncFolder(path.join(root, name));
  return hashed;
}

/** Throws FellmarkError 'bad_result' unless both name the same files with the same sizes and hashes. */
export function requireReported(found: readonly ResultFile[], reported: readonly ResultFile[]): void {
  const expected = new Map(reported.map((file) => [file.name, file]));
  for (const { name, bytes, sha256 } of found) {
    const file = expected.get(name);
    if (!file) throw new FellmarkError("bad_result", `${name} was not reported by the computation`);
    if (file.bytes !== bytes || file.sha256 !== sha256)
      throw new FellmarkError("bad_result", `${name} is not the file that the computation wrote`);
    expected.delete(name);
  }
  for (const name of expected.keys()) throw new FellmarkError("bad_result", `${name} is missing`);
}

/** Returns the first difference between files on disk and what is known of them; undefined where there is none. */
export async function findDamage(
  files: readonly ResultFile[],
  toPath: (name: string) => string,
): Promise<string | undefined> {
  for (const { name, bytes, sha256 } of files) {
    const found = await stat(toPath(name)).catch(() => undefined);
    if (!found?.isFile()) return `${name} is missing`;
    if (found.size !== bytes) return `${name} has ${found.size} bytes, not ${bytes}`;
    if ((await computeSha256(toPath(name))) !== sha256) return `${name} is not the file that was published`;
  }
  return undefined;
}

async function computeSha256(file: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(file), hash);
  return hash.digest("hex");
}

/** Creates a folder and those above it up to the root, which must be there; their names outlive a power cut. */
export async function makeSyncedFolder(root: string, folder: string): Promise<void> {
  let parent = root;
  for (const name of path.relative(root, folder).split(path.sep)) {
    const child = path.join(parent, name);
    const isNew = await mkdir(child).then(
      () => true,
      (error: NodeJS.ErrnoException) => {
        if (error.code === "EEXIST") return false;
        throw error;
      },
    );
    if (isNew) await syncFolder(parent);
    parent = child;
  }
}

/** Makes the names in a folder outlive a power cut. */
export async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, "r");
  await handle.sync().finally(() => handle.close());
}

/** Returns the names in a folder; none where it does not exist. */
export async function readNames(folder: string): Promise<string[]> {
  return readdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === "ENOENT" || error.code === "ENOTDIR") return [];
    throw error;
  });
}

export function removeTree(folder: string): Promise<void> {
  return rm(folder, { recursive: true, force: true, maxRetries: 3 });
}

/** Names of all files, sorted, and of all folders, the deepest first; names relative to the root, with slashes. */
async function listTree(root: string): Promise<{ files: string[]; folders: string[] }> {
  const files: string[] = [];
  const folders = ["."];
  for (const found of await readdir(root, { recursive: true })) {
    const name = found.split(path.sep).join("/");
    const stats = await lstat(path.join(root, name));
    if (stats.isFile()) files.push(name);
    else if (stats.isDirectory()) folders.push(name);
    else throw new FellmarkError("bad_result", `${name} is neither a file nor a folder`);
  }
  return { files: files.sort(), folders: folders.sort().reverse() };
}

/** Reads the file once for its hash and has the system write it to disk. */
async function hashAndSync(file: string): Promise<{ bytes: number; sha256: string }> {
  const handle = await open(file, "r+");
  try {
    const sha256 = await computeSha256(file);
    await handle.sync();
    return { bytes: (await handle.stat()).size, sha256 };
  } finally {
    await handle.close();
  }
}
