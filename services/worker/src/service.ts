import { type Compute, createCompute } from "@fellmark/compute";
import { type JobCompute, openStorage, startWorker, toFaultPoint } from "@fellmark/jobs";
import type { Logger } from "pino";
import { watchClockSteps } from "./clock-steps.ts";
import type { WorkerConfig } from "./config.ts";
import { hidePassword } from "./logger.ts";

export interface WorkerService {
  /** Ends running jobs within the time or hands them over, then lets go of everything; idempotent. */
  close(timeoutMs: number): Promise<void>;
}

export interface WorkerServiceOptions {
  config: WorkerConfig;
  logger: Logger;
  /** Called when this process can no longer be trusted to keep its locks: close it and start another. */
  onUnfit: (reason: string) => void;
  /** Stands in for the compute child in tests. */
  compute?: JobCompute & Pick<Compute, "close">;
}

/** Opens what the configuration names and begins to take jobs. Rejects, with nothing left open, when that fails. */
export async function startService(options: WorkerServiceOptions): Promise<WorkerService> {
  const { config, logger, onUnfit } = options;
  const { dataDir, terrainDir, redisUrl, leaseMs, retention } = config;
  const { concurrency, deadlineMs, maxAttempts, threads } = config;
  const reachFaultPoint = toFaultPoint(config.faultPoint);
  const onError = (error: unknown) => logger.warn({ err: error }, "trouble with the queue");
  const storage = await openStorage({ dataDir, redisUrl, leaseMs, minFreeBytes: retention.minFreeBytes, onError });
  const compute = options.compute ?? createCompute({ memoryCapBytes: config.memoryCapBytes });
  // Locks in Redis go by the wall clock; leases in SQLite do not.
  const stopWatching = redisUrl ? watchClockSteps((stepMs) => onUnfit(`the clock stepped by ${stepMs} ms`)) : () => {};
  const letGo = [async () => stopWatching(), () => compute.close(), () => storage.ledger.close()];
  try {
    const limits = { concurrency, deadlineMs, maxAttempts, ...(threads === undefined ? {} : { threads }) };
    const worker = await startWorker({
      ...storage,
      compute,
      terrainDir,
      ...limits,
      retention,
      logger,
      reachFaultPoint,
    });
    const queue = redisUrl ? hidePassword(redisUrl) : "embedded";
    logger.info({ dataDir, terrainDir, queue, concurrency }, "ready for jobs");
    return { close: (timeoutMs) => runAll([() => worker.close(timeoutMs), ...letGo]) };
  } catch (error) {
    await runAll([() => storage.queue.close(0), ...letGo]).catch(onError);
    throw error;
  }
}

/** Runs every step in order even if one fails; rejects with the first failure. */
async function runAll(steps: (() => Promise<void>)[]): Promise<void> {
  const failures: unknown[] = [];
  for (const step of steps) await step().catch((error: unknown) => failures.push(error));
  if (failures.length > 0) throw failures[0];
}
