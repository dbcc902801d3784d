import { randomUUID } from "node:crypto";
import { existsSync, mkdirSync } from "node:fs";
import { open, rename, rm, rmdir, statfs } from "node:fs/promises";
import path from "node:path";
import { NotFoundError, TransientError } from "@fellmark/units";
import { checkAttemptKey, checkJobKey } from "./job-key.ts";
import type { AttemptKey, JobRecord, WorkerStore } from "./job-record.ts";
import { watchPlace } from "./place-watch.ts";
import type { ResultFile } from "./result-file.ts";
import {
  findDamage,
  hashAndSyncTree,
  makeSyncedFolder,
  readNames,
  removeTree,
  requireReported,
  syncFolder,
} from "./result-tree.ts";
import { runOnDisk, toStorageError } from "./storage-error.ts";

/**
 * Opens results below one folder: staged/TENANT/ID.TOKEN while an attempt writes, published/TENANT/ID/TOKEN afterwards,
 * work/TENANT/ID for what outlives an attempt. All lie on one file system, so that publishing is one rename. No token
 * comes twice, so no attempt ever meets the files of another. Creates the folder where it is absent.
 */
export function openFolderStore(dir: string, { minFreeBytes = 0 }: FolderStoreOptions = {}): WorkerStore {
  return runOnDiskSync(() => new FolderStore(path.resolve(dir), minFreeBytes));
}

export interface FolderStoreOptions {
  /** Free space below which nothing new is begun. */
  minFreeBytes?: number;
}

class FolderStore implements WorkerStore {
  readonly #dir: string;
  readonly #staged: string;
  readonly #published: string;
  readonly #work: string;
  readonly #requireInPlace: () => void;
  readonly #minFreeBytes: number;

  constructor(dir: string, minFreeBytes: number) {
    mkdirSync(dir, { recursive: true });
    this.#requireInPlace = watchPlace(dir);
    this.#minFreeBytes = minFreeBytes;
    this.#dir = dir;
    this.#staged = path.join(dir, "staged");
    this.#published = path.join(dir, "published");
    this.#work = path.join(dir, "work");
  }

  freeBytes(): Promise<number> {
    return runOnDisk(async () => {
      const { bavail, bsize } = await statfs(this.#dir);
      return bavail * bsize;
    });
  }

  async requireRoom(): Promise<void> {
    this.#requireInPlace();
    const freeBytes = await this.freeBytes();
    if (freeBytes >= this.#minFreeBytes) return;
    const detail = `${toMegabytes(freeBytes)} MB of disk are free, ${toMegabytes(this.#minFreeBytes)} MB must stay free`;
    throw new TransientError("storage_full", detail);
  }

  async check(): Promise<void> {
    await this.requireRoom();
    const probe = path.join(this.#dir, `.probe-${randomUUID()}`);
    await runOnDisk(async () => {
      const handle = await open(probe, "wx");
      await handle
        .writeFile("probe")
        .then(() => handle.sync())
        .finally(() => handle.close());
    }).finally(() => rm(probe, { force: true }));
  }

  async stage(attempt: AttemptKey): Promise<string> {
    const folder = this.#toStagedFolder(attempt);
    await runOnDisk(async () => {
      this.#requireInPlace();
      await removeTree(folder);
      await makeSyncedFolder(this.#dir, folder);
    });
    return folder;
  }

  async publish(attempt: AttemptKey, reported: readonly ResultFile[]): Promise<ResultFile[]> {
    const staged = this.#toStagedFolder(attempt);
    const target = this.#toPublishedFolder(attempt);
    return runOnDisk(async () => {
      this.#requireInPlace();
      const files = await hashAndSyncTree(staged);
      requireReported(files, reported);
      await removeTree(target);
      await this.#moveIntoPlace(staged, target);
      return files;
    });
  }

  findPath({ tenant, id, token, files }: JobRecord, name: string): string {
    const file = files?.find((candidate) => candidate.name === name);
    const folder = token === null ? undefined : this.#toPublishedFolder({ tenant, id, token });
    const found = file && folder && path.join(folder, file.name);
    if (!found?.startsWith(folder + path.sep)) throw new NotFoundError("the result has no such file");
    return found;
  }

  findDamage(job: JobRecord): Promise<string | undefined> {
    return findDamage(job.files ?? [], (name) => this.findPath(job, name));
  }

  async discard(attempt: AttemptKey): Promise<void> {
    const published = this.#toPublishedFolder(attempt);
    await removeTree(this.#toStagedFolder(attempt));
    await removeTree(published);
    await removeIfEmpty(path.dirname(published));
  }

  async discardOthers(attempt: AttemptKey): Promise<void> {
    const found = await this.#listAttempts(attempt.tenant, attempt.id);
    for (const other of found) if (other.token !== attempt.token) await this.discard(other);
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
    for (const attempt of await this.#listAttempts(tenant, id)) await this.discard(attempt);
    await removeTree(path.join(this.#published, tenant, id));
    await this.discardWork(tenant, id);
  }

  async sweep(isCurrent: (attempt: AttemptKey) => Promise<boolean>): Promise<number> {
    let removed = 0;
    for (const attempt of await this.#listAttempts()) {
      if (await isCurrent(attempt)) continue;
      await this.discard(attempt);
      removed++;
    }
    return removed;
  }

  /** An attempt that is discarded at this moment may take the empty folder of the job away once. */
  async #moveIntoPlace(staged: string, target: string, triesLeft = 3): Promise<void> {
    const parent = path.dirname(target);
    await makeSyncedFolder(this.#dir, parent);
    try {
      await rename(staged, target);
      await syncFolder(parent);
    } catch (error) {
      if (triesLeft === 0 || !existsSync(staged) || existsSync(parent)) throw error;
      await this.#moveIntoPlace(staged, target, triesLeft - 1);
    }
  }

  async sweepWork(isWanted: (tenant: string, id: string) => Promise<boolean>): Promise<void> {
    for (const tenant of await readNames(this.#work)) {
      for (const id of await readNames(path.join(this.#work, tenant))) {
        if (isJobKey(tenant, id) && !(await isWanted(tenant, id))) await this.discardWork(tenant, id);
      }
    }
  }

  #toStagedFolder(attempt: AttemptKey): string {
    checkAttemptKey(attempt);
    return path.join(this.#staged, attempt.tenant, `${attempt.id}.${attempt.token}`);
  }

  #toPublishedFolder(attempt: AttemptKey): string {
    checkAttemptKey(attempt);
    return path.join(this.#published, attempt.tenant, attempt.id, attempt.token);
  }

  /** Attempts that have a folder, of one job or of all; whatever else lies there is left alone. */
  async #listAttempts(onlyTenant?: string, onlyId?: string): Promise<AttemptKey[]> {
    const found: AttemptKey[] = [];
    for (const tenant of onlyTenant === undefined ? await readNames(this.#staged) : [onlyTenant]) {
      for (const name of await readNames(path.join(this.#staged, tenant))) {
        const [id = "", token = ""] = name.split(".");
        if (onlyId === undefined || id === onlyId) found.push({ tenant, id, token });
      }
    }
    for (const tenant of onlyTenant === undefined ? await readNames(this.#published) : [onlyTenant]) {
      for (const id of onlyId === undefined ? await readNames(path.join(this.#published, tenant)) : [onlyId]) {
        const tokens = await readNames(path.join(this.#published, tenant, id));
        found.push(...tokens.map((token) => ({ tenant, id, token })));
      }
    }
    return found.filter(isAttemptKey);
  }
}

function isAttemptKey(key: AttemptKey): boolean {
  return isAccepted(() => checkAttemptKey(key));
}

function isJobKey(tenant: string, id: string): boolean {
  return isAccepted(() => checkJobKey(tenant, id));
}

function isAccepted(check: () => void): boolean {
  try {
    check();
    return true;
  } catch {
    return false;
  }
}

/** Another attempt may have put its folder there meanwhile. */
async function removeIfEmpty(folder: string): Promise<void> {
  await rmdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code !== "ENOENT" && error.code !== "ENOTEMPTY") throw error;
  });
}

function toMegabytes(bytes: number): number {
  return Math.floor(bytes / 2 ** 20);
}

/** Throws TransientError for a disk that is full or broken. */
function runOnDiskSync<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw toStorageError(error);
  }
}
