import { existsSync } from "node:fs";
import path from "node:path";
import {
  type ObjectStore,
  openFolderStore,
  openObjectStore,
  openSqliteLedger,
  type WorkerLedger,
  type WorkerStore,
} from "@fellmark/ledger";
import { NotFoundError } from "@fellmark/units";
import { openBullmqQueue } from "./bullmq-queue.ts";
import { openEmbeddedQueue } from "./embedded-queue.ts";
import type { JobQueue } from "./queue.ts";

export interface StorageOptions {
  /** Folder of everything the service keeps; created where it is absent. */
  dataDir: string;
  /** Absent: the queue is embedded in the ledger's file. */
  redisUrl?: string | undefined;
  /** Time for which a job stays with a worker that no longer answers. */
  leaseMs?: number;
  /** Free space below which nothing new is begun. */
  minFreeBytes?: number;
  /** Absent: a data folder that is not there is created; false: it throws NotFoundError. */
  mayCreate?: boolean;
  /** Called with every error of background work. */
  onError: (error: unknown) => void;
}

/** Storage that API and workers share: open it with the same settings in each process. */
export interface Storage {
  ledger: WorkerLedger;
  store: WorkerStore;
  /** Files of layers, which outlive the jobs that they come from. */
  objects: ObjectStore;
  queue: JobQueue;
  /** Folder of the loss cache. */
  cacheDir: string;
  /** Folder of the lists of premises. */
  premisesDir: string;
}

/** Opens ledger, results and queue. Rejects, with nothing left open, when the file or Redis cannot be used. */
export async function openStorage({
  dataDir,
  redisUrl,
  leaseMs = 30_000,
  minFreeBytes = 0,
  mayCreate = true,
  onError,
}: StorageOptions): Promise<Storage> {
  const file = path.join(dataDir, "ledger.sqlite");
  if (!mayCreate && !existsSync(file)) throw new NotFoundError(`there is no ledger in ${dataDir}`);
  const ledger = await openSqliteLedger(file);
  try {
    const store = openFolderStore(path.join(dataDir, "results"), { minFreeBytes });
    const queue = redisUrl
      ? await openBullmqQueue({ redisUrl, lockMs: leaseMs, onError })
      : await openEmbeddedQueue({ path: file, leaseMs, onError });
    return {
      ...{ ledger, store, queue },
      objects: openObjectStore(path.join(dataDir, "objects")),
      cacheDir: path.join(dataDir, "cache"),
      premisesDir: path.join(dataDir, "premises"),
    };
  } catch (error) {
    await ledger.close();
    throw error;
  }
}
