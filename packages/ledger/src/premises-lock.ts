import { mkdir } from "node:fs/promises";
import path from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { TransientError } from "@fellmark/units";
import { loadSqlite } from "./load-sqlite.ts";
import { toPremisesPath } from "./premises-path.ts";
import { isBusy, toStorageError } from "./storage-error.ts";

const LOOK_AGAIN_MS = 50;

export interface PremisesLock {
  /** Lets the next writer in; idempotent. */
  release(): void;
}

/**
 * Holds the list of a tenant for one writer, among all processes of the machine: waits for the writer before. The
 * system lets go of the lock when its process dies. Throws TransientError 'premises_busy' when the wait is over.
 */
export async function lockPremises(dir: string, tenant: string, waitMs: number): Promise<PremisesLock> {
  const file = `${toPremisesPath(dir, tenant)}.lock`;
  await mkdir(path.dirname(file), { recursive: true });
  const { DatabaseSync } = await loadSqlite();
  const database = new DatabaseSync(file);
  const deadlineMs = performance.now() + waitMs;
  for (;;) {
    try {
      // Nothing is ever written: the file only carries the lock of an exclusive transaction.
      database.exec("BEGIN EXCLUSIVE");
      return { release: () => void (database.isOpen && database.close()) };
    } catch (error) {
      if (!isBusy(error) || performance.now() >= deadlineMs) {
        database.close();
        throw isBusy(error) ? new TransientError("premises_busy", "another import is running") : toStorageError(error);
      }
    }
    await delay(LOOK_AGAIN_MS);
  }
}
