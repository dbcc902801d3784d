import { systemClock } from "./clock.ts";
import type { JobContext } from "./job-context.ts";
import { silentLogger } from "./logger.ts";
import type { JobQueue } from "./queue.ts";
import { startReconciler } from "./reconciler.ts";
import { type RetentionLimits, startRetention } from "./retention.ts";
import { runJob } from "./run-job.ts";

type Defaulted = "logger" | "clock" | "reachFaultPoint" | "cacheLimits";

/** Parts that a worker is built on; tests pass their own. */
export interface WorkerContext extends Omit<JobContext, Defaulted>, Partial<Pick<JobContext, Defaulted>> {
  queue: JobQueue;
  /** Jobs at a time. */
  concurrency?: number;
  /** Limits of everything that is kept. */
  retention: RetentionLimits;
  /** Milliseconds since 1970. */
  now?: () => number;
}

export interface RunningWorker {
  /** Takes no new jobs; running ones end within the time or are handed over, uncounted. Closes the queue; idempotent. */
  close(timeoutMs: number): Promise<void>;
}

/** Removes files that dead workers left and files over the limits, queues unfinished jobs again, and begins to take jobs. */
export async function startWorker(context: WorkerContext): Promise<RunningWorker> {
  const { queue, concurrency = 1, retention: limits, now = Date.now } = context;
  const defaults = { logger: silentLogger, clock: systemClock, reachFaultPoint: () => {} };
  const job: JobContext = { ...defaults, cacheLimits: limits.lossCache, ...context };
  const { ledger, store, cacheDir, logger } = job;
  const retention = await startRetention({ ledger, store, cacheDir, limits, now, logger }, job.clock);
  const reconciler = await startReconciler({ ledger, queue, clock: job.clock, logger });
  await queue.work((ref, signal) => runJob(job, ref, signal), concurrency);
  return {
    async close(timeoutMs) {
      reconciler.stop();
      retention.stop();
      await queue.close(timeoutMs);
    },
  };
}
