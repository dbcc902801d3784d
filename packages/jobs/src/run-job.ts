import type { StartedJob, WorkerStore } from "@fellmark/ledger";
import { FellmarkError, toErrorRecord } from "@fellmark/units";
import { computeJob } from "./compute-job.ts";
import { isCurrentAttempt } from "./is-current-attempt.ts";
import { isRetryable, isStorageFault } from "./is-retryable.ts";
import type { JobContext } from "./job-context.ts";
import { followProgress, type ProgressReports } from "./progress-reports.ts";
import type { JobRef } from "./queue.ts";
import { retryUntilStored } from "./until-stored.ts";

/**
 * Runs one job from the ledger to the published result. Resolves when there is nothing more to do about it; rejects, with
 * a FellmarkError always, when it is to be delivered again: the attempt was handed over, or failed in a passing way.
 */
export async function runJob(context: JobContext, ref: JobRef, signal: AbortSignal): Promise<void> {
  const { ledger, store, maxAttempts, logger } = context;
  try {
    await store.requireRoom();
    const job = await ledger.begin(ref.tenant, ref.id);
    // It has ended, or was cancelled or removed; the reference was only late.
    if (!job) return;
    logger.info({ jobId: job.id, attempt: job.attempt }, "attempt begins");
    // What attempts before this one left when their worker died; one that still writes is shut out by the fence.
    await store.discardOthers(job);
    if (job.tries <= maxAttempts) return await runAttempt(context, job, signal);
    const detail = `the worker died in each of ${maxAttempts} attempts`;
    await ledger.fail(job, { code: "worker_killed", detail }, false);
    logger.error({ jobId: job.id, attempt: job.attempt }, detail);
  } catch (thrown) {
    throw toFellmarkError(thrown);
  }
}

async function runAttempt(context: JobContext, job: StartedJob, signal: AbortSignal): Promise<void> {
  const reports = followProgress(context, job);
  try {
    await computeAndPublish(context, job, reports, AbortSignal.any([signal, reports.signal]));
  } catch (thrown) {
    await endAttempt(context, job, { error: toFellmarkError(thrown), verdict: reports.verdict(), signal });
  } finally {
    reports.stop();
  }
}

async function computeAndPublish(
  context: JobContext,
  job: StartedJob,
  reports: ProgressReports,
  signal: AbortSignal,
): Promise<void> {
  const { ledger, store, compute, deadlineMs, threads, logger, reachFaultPoint } = context;
  const { terrainDir, cacheDir, cacheLimits, premisesDir } = context;
  const { tenant, id, attempt, terrainFingerprint } = job;
  reachFaultPoint("after-begin");
  const outDir = await store.stage(job);
  signal.throwIfAborted();
  const workDir = store.workFolder(tenant, id);
  const folders = {
    // The day of submission is kept with the job: every attempt on it writes the same bytes.
    date: new Date(job.createdAtMs).toISOString().slice(0, 10),
    ...{ jobId: id, tenant, terrainDir, terrainFingerprint, outDir, cacheDir, premisesDir, workDir },
    ...(threads !== undefined && { threads }),
    ...(cacheLimits && { cacheLimits }),
  };
  const reported = await computeJob(compute, job, folders, { deadlineMs, signal, onProgress: reports.note });
  signal.throwIfAborted();
  reachFaultPoint("before-publish");
  const files = await store.publish(job, reported);
  reachFaultPoint("after-publish");
  const isCompleted = await retryUntilStored(context.clock, signal, () => ledger.complete(job, files));
  if (!isCompleted) {
    logger.warn({ jobId: id, attempt }, "a stale result was dropped");
    return discardUnlessCurrent(context, job);
  }
  logger.info({ jobId: id, attempt }, "published");
  await store.discardWork(tenant, id);
}

interface AttemptEnd {
  error: FellmarkError;
  /** Last answer of the ledger about the attempt. */
  verdict: "go-on" | "cancel" | "lost";
  /** The queue's signal: the lock is lost or the worker is closing. */
  signal: AbortSignal;
}

/** Tells the ledger why the attempt ended early. Rejects with the error when the job is to be delivered again. */
async function endAttempt(context: JobContext, job: StartedJob, { error, verdict, signal }: AttemptEnd): Promise<void> {
  const { ledger, store, maxAttempts, clock, logger } = context;
  await discardUnlessDone(context, job);
  // Where others have filled the disk the job is not to blame; where there is room again, it may have been.
  const isPutBack = isStorageFault(error) && !(await hasRoom(store));
  const isHandedOver = verdict === "go-on" && (signal.aborted || isPutBack);
  const isTriedAgain = verdict === "go-on" && !isHandedOver && isRetryable(error) && job.tries < maxAttempts;
  logger.warn(
    { jobId: job.id, attempt: job.attempt, code: error.code, verdict, isHandedOver, isTriedAgain, err: error },
    "attempt ends",
  );
  await retryUntilStored(clock, signal, async () => {
    if (verdict === "cancel") await ledger.confirmCancelled(job);
    else if (isHandedOver) await ledger.handOver(job);
    else if (verdict === "go-on") await ledger.fail(job, toErrorRecord(error), isTriedAgain);
  });
  if (isHandedOver || isTriedAgain) throw error;
}

/** A result that the ledger already calls done must outlive an error that came after. */
async function discardUnlessDone({ ledger, store }: JobContext, job: StartedJob): Promise<void> {
  const row = await ledger.find(job.tenant, job.id);
  if (row?.token !== job.token || row.state !== "done") await store.discard(job);
}

async function discardUnlessCurrent({ ledger, store }: JobContext, job: StartedJob): Promise<void> {
  if (!isCurrentAttempt(await ledger.find(job.tenant, job.id), job)) await store.discard(job);
}

function hasRoom(store: WorkerStore): Promise<boolean> {
  return store.requireRoom().then(
    () => true,
    () => false,
  );
}

function toFellmarkError(thrown: unknown): FellmarkError {
  if (thrown instanceof FellmarkError) return thrown;
  const { code, detail } = toErrorRecord(thrown);
  return new FellmarkError(code, detail, { cause: thrown });
}
