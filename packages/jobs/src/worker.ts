import { systemClock } from "./clock.ts";
import { isCurrentAttempt } from "./is-current-attempt.ts";
import { silentLogger } from "./logger.ts";
import type { JobQueue } from "./queue.ts";
import { startReconciler } from "./reconciler.ts";
import { type JobContext, runJob } from "./run-job.ts";

type Defaulted = "logger" | "clock" | "reachFaultPoint";

/** What a worker is built on; tests pass their own. */
export interface WorkerContext extends Omit<JobContext, Defaulted>, Partial<Pick<JobContext, Defaulted>> {
  queue: JobQueue;
  /** Jobs at a time. */
  concurrency?: number;
}

export interface RunningWorker {
  /** Takes no new jobs; running ones end within the time or are handed over, uncounted. Closes the queue; idempotent. */
  close(timeoutMs: number): Promise<void>;
}

/** Sweeps what dead workers left, puts lost references back into the queue, and begins to take jobs. */
export async function startWorker(context: WorkerContext): Promise<RunningWorker> {
  const { queue, concurrency = 1 } = context;
  const job: JobContext = { logger: silentLogger, clock: systemClock, reachFaultPoint: () => {}, ...context };
  const { ledger, store, logger } = job;
  const swept = await store.sweep(async (attempt) =>
    isCurrentAttempt(await ledger.find(attempt.tenant, attempt.id), attempt),
  );
  if (swept > 0) logger.info({ swept }, "swept what earlier workers left");
  const reconciler = await startReconciler({ ledger, queue, clock: job.clock, logger });
  await queue.work((ref, signal) => runJob(job, ref, signal), concurrency);
  return {
    async close(timeoutMs) {
      reconciler.stop();
      await queue.close(timeoutMs);
    },
  };
}
