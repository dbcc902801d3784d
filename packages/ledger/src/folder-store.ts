import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { lstat, mkdir, open, readdir, rename, rm } from "node:fs/promises";
import path from "node:path";
import { pipeline } from "node:stream/promises";
import { FellmarkError, NotFoundError } from "@fellmark/units";
import { checkJobKey } from "./job-key.ts";
import type { JobRecord, ResultFile, WorkerStore } from "./job-record.ts";
import { toStorageError } from "./storage-error.ts";

/**
 * Results below one folder: staged/TENANT/ID.ATTEMPT while an attempt writes, published/TENANT/ID/ATTEMPT afterwards,
 * work/TENANT/ID for what outlives an attempt. All lie on one file system, so that publishing is one rename. Opening touches no disk.
 */
export function openFolderStore(dir: string): WorkerStore {
  return new FolderStore(path.resolve(dir));
}

class FolderStore implements WorkerStore {
  readonly #staged: string;
  readonly #published: string;
  readonly #work: string;

  constructor(dir: string) {
    this.#staged = path.join(dir, "staged");
    this.#published = path.join(dir, "published");
    this.#work = path.join(dir, "work");
  }

  async stage(tenant: string, id: string, attempt: number): Promise<string> {
    const folder = this.#stagedFolder(tenant, id, attempt);
    await onDisk(async () => {
      await removeTree(folder);
      await mkdir(folder, { recursive: true });
    });
    return folder;
  }

  async publish(tenant: string, id: string, attempt: number): Promise<ResultFile[]> {
    const staged = this.#stagedFolder(tenant, id, attempt);
    const target = this.#publishedFolder(tenant, id, attempt);
    return onDisk(async () => {
      const files = await hashAndSyncTree(staged);
      await mkdir(path.dirname(target), { recursive: true });
      await removeTree(target);
      await rename(staged, target);
      await syncFolder(path.dirname(target));
      return files;
    });
  }

  pathOf(job: JobRecord, name: string): string {
    const file = job.files?.find((candidate) => candidate.name === name);
    const folder = this.#publishedFolder(job.tenant, job.id, job.attempt);
    const found = file && path.join(folder, file.name);
    if (!found?.startsWith(folder + path.sep)) throw new NotFoundError("the result has no such file");
    return found;
  }

  async discard(tenant: string, id: string, attempt: number): Promise<void> {
    await removeTree(this.#stagedFolder(tenant, id, attempt));
    await removeTree(this.#publishedFolder(tenant, id, attempt));
  }

  workFolder(tenant: string, id: string): string {
    checkJobKey(tenant, id);
    return path.join(this.#work, tenant, id);
  }

  discardWork(tenant: string, id: string): Promise<void> {
    return removeTree(this.workFolder(tenant, id));
  }

  async remove(tenant: string, id: string): Promise<void> {
    checkJobKey(tenant, id);
    for (const { attempt } of await this.#stagedAttempts(tenant, id)) await this.discard(tenant, id, attempt);
    await removeTree(path.join(this.#published, tenant, id));
    await this.discardWork(tenant, id);
  }

  async sweep(isCurrent: (tenant: string, id: string, attempt: number) => Promise<boolean>): Promise<number> {
    let removed = 0;
    for (const { tenant, id, attempt } of [...(await this.#stagedAttempts()), ...(await this.#publishedAttempts())]) {
      if (await isCurrent(tenant, id, attempt)) continue;
      await this.discard(tenant, id, attempt);
      removed++;
    }
    return removed;
  }

  #stagedFolder(tenant: string, id: string, attempt: number): string {
    checkKey(tenant, id, attempt);
    return path.join(this.#staged, tenant, `${id}.${attempt}`);
  }

  #publishedFolder(tenant: string, id: string, attempt: number): string {
    checkKey(tenant, id, attempt);
    return path.join(this.#published, tenant, id, String(attempt));
  }

  async #stagedAttempts(onlyTenant?: string, onlyId?: string): Promise<Attempt[]> {
    const found: Attempt[] = [];
    for (const tenant of onlyTenant ? [onlyTenant] : await namesIn(this.#staged)) {
      for (const name of await namesIn(path.join(this.#staged, tenant))) {
        const [id, attempt] = name.split(".");
        if (onlyId === undefined || id === onlyId) found.push({ tenant, id, attempt: Number(attempt) });
      }
    }
    return found.filter(isOurs);
  }

  async #publishedAttempts(): Promise<Attempt[]> {
    const found: Attempt[] = [];
    for (const tenant of await namesIn(this.#published)) {
      for (const id of await namesIn(path.join(this.#published, tenant))) {
        const attempts = await namesIn(path.join(this.#published, tenant, id));
        found.push(...attempts.map((attempt) => ({ tenant, id, attempt: Number(attempt) })));
      }
    }
    return found.filter(isOurs);
  }
}

interface Attempt {
  tenant: string;
  id: string;
  attempt: number;
}

function checkKey(tenant: string, id: string, attempt: number): void {
  checkJobKey(tenant, id);
  if (!Number.isSafeInteger(attempt) || attempt < 1) throw new RangeError(`attempts count from 1, got ${attempt}`);
}

/** Whatever else lies in the folder is left alone. */
function isOurs({ tenant, id, attempt }: Attempt): boolean {
  try {
    checkKey(tenant, id, attempt);
    return true;
  } catch {
    return false;
  }
}

/** Throws TransientError for a disk that is full or broken. */
async function onDisk<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw toStorageError(error);
  }
}

/** Every file with its size and hash, in the order of the names; all is on disk afterwards. */
async function hashAndSyncTree(root: string): Promise<ResultFile[]> {
  const { files, folders } = await listTree(root);
  const hashed: ResultFile[] = [];
  for (const name of files) hashed.push({ name, ...(await hashAndSync(path.join(root, name))) });
  for (const name of folders) await syncFolder(path.join(root, name));
  return hashed;
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
    const hash = createHash("sha256");
    await pipeline(createReadStream(file), hash);
    await handle.sync();
    return { bytes: (await handle.stat()).size, sha256: hash.digest("hex") };
  } finally {
    await handle.close();
  }
}

/** Makes the names in a folder outlive a power cut. */
async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, "r");
  await handle.sync().finally(() => handle.close());
}

async function namesIn(folder: string): Promise<string[]> {
  return readdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === "ENOENT" || error.code === "ENOTDIR") return [];
    throw error;
  });
}

function removeTree(folder: string): Promise<void> {
  return rm(folder, { recursive: true, force: true, maxRetries: 3 });
}
