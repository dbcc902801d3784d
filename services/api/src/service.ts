import { type Compute, createCompute } from "@fellmark/compute";
import { MODEL_VERSION } from "@fellmark/coverage";
import { openStorage, type RunningWorker, type Storage, startWorker } from "@fellmark/jobs";
import { openPremisesShelf } from "@fellmark/premises";
import type { Logger } from "pino";
import type { ApiConfig } from "./config.ts";
import { createContext } from "./context.ts";
import { systemTicker } from "./jobs/ticker.ts";
import { serve } from "./server.ts";
import { createTeardown } from "./teardown.ts";

/** Time that replies under way have when the service is told to stop. */
const REPLY_GRACE_MS = 2_000;

/** Memory of the child that reads bodies: 20 MB of JSON take a fifth of it. */
const READER_MEMORY_BYTES = 2 ** 30;

/** The running service. */
export interface Service {
  /** URL on which it listens, as http://host:port. */
  address: string;
  /** URL of metrics and readiness, if they have a port of their own. */
  operationsAddress?: string;
  /** Stops everything, newest first; idempotent. */
  close(): Promise<void>;
}

/** Starts the API and, where there is no Redis, a worker beside it. Rejects, with nothing left open, when a part cannot start. */
export async function startService(config: ApiConfig, logger: Logger): Promise<Service> {
  const teardown = createTeardown(logger);
  try {
    const { dataDir, redisUrl, leaseMs, terrainDir, shutdownMs } = config;
    const onError = (error: unknown) => logger.error({ err: error }, "background failure");
    const storage = await openStorage({
      ...{ dataDir, redisUrl, leaseMs, onError },
      minFreeBytes: config.retention.minFreeBytes,
    });
    teardown.add("ledger", () => storage.ledger.close());
    teardown.add("queue", () => storage.queue.close(shutdownMs));

    // Questions have a child of their own: a coverage would keep it busy for minutes.
    const compute = createCompute();
    teardown.add("compute child", () => compute.close());
    // Places too: opening a large network must not keep those who put one waiting.
    const answers = createCompute();
    teardown.add("answering child", () => answers.close());
    const premises = openPremisesShelf(storage.premisesDir);
    teardown.add("premises", async () => premises.close());
    const imports = createCompute();
    teardown.add("importing child", () => imports.close());
    const readers = createCompute({ memoryCapBytes: READER_MEMORY_BYTES });
    teardown.add("reading child", () => readers.close());
    const publishing = createCompute();
    teardown.add("publishing child", () => publishing.close());
    const context = createContext(config, {
      ...storage,
      compute,
      answers,
      premises,
      imports,
      readers,
      publishing,
      ticker: systemTicker,
      now: Date.now,
      modelVersion: MODEL_VERSION,
      logger,
    });
    context.terrain.fingerprint().catch((error: unknown) => logger.warn({ err: error, terrainDir }, "no terrain yet"));

    removeUnnamedObjects(storage).catch(onError);

    if (redisUrl === undefined) {
      const covering = createCompute({ memoryCapBytes: config.worker.memoryCapBytes });
      teardown.add("worker's compute child", () => covering.close());
      const worker = await startEmbeddedWorker(config, storage, covering, logger);
      teardown.add("worker", () => worker.close(shutdownMs));
    }
    const server = await serve(context);
    teardown.add("server", () => server.close(REPLY_GRACE_MS));
    const { address, operationsAddress } = server;
    return { address, ...(operationsAddress !== undefined && { operationsAddress }), close: teardown.run };
  } catch (error) {
    await teardown.run();
    throw error;
  }
}

/** Removes the files of layers that can no longer be read, and what a crash has left half kept. */
async function removeUnnamedObjects({ ledger, objects }: Storage): Promise<void> {
  await objects.sweep(await ledger.layers.listKeptFiles(), Date.now());
}

function startEmbeddedWorker(
  { worker, terrainDir, retention }: ApiConfig,
  storage: Storage,
  compute: Compute,
  logger: Logger,
): Promise<RunningWorker> {
  const { memoryCapBytes: _ofTheChild, ...limits } = worker;
  return startWorker({ ...storage, ...limits, retention, compute, terrainDir, logger });
}
