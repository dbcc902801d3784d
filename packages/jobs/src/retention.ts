import { type LossCacheLimits, sweepLossCache } from "@fellmark/coverage";
import type { KeptResult, WorkerLedger, WorkerStore } from "@fellmark/ledger";
import { mayContinue } from "./check-ledger.ts";
import { type Clock, repeat } from "./clock.ts";
import { isCurrentAttempt } from "./is-current-attempt.ts";
import type { Logger } from "./logger.ts";
import { expireJob, removeJob } from "./remove-job.ts";

/** Limits of size and age of everything that the service keeps. */
export interface RetentionLimits {
  /** Sum of all results above which the oldest expire. */
  resultsBytes: number;
  /** Age at which a result expires. */
  resultsMs: number;
  /** Age at which the result of a batch expires: it holds the addresses of people. */
  batchesMs: number;
  /** Age at which a failed, cancelled or expired job is removed. */
  endedMs: number;
  networksBytes: number;
  networksMs: number;
  lossCache: LossCacheLimits;
  /** Free space below which the loss cache gives way. */
  minFreeBytes: number;
}

export interface RetentionOptions {
  ledger: WorkerLedger;
  store: WorkerStore;
  cacheDir: string;
  limits: RetentionLimits;
  /** Milliseconds since 1970. */
  now: () => number;
  logger: Logger;
}

export const RETENTION_PERIOD_MS = 60_000;

/** Keeps what is stored within its limits, now and every minute. Never rejects; what fails is tried at the next turn. */
export async function startRetention(options: RetentionOptions, clock: Clock): Promise<{ stop: () => void }> {
  await applyRetention(options);
  return { stop: repeat(clock, RETENTION_PERIOD_MS, () => applyRetention(options)) };
}

async function applyRetention(options: RetentionOptions): Promise<void> {
  for (const step of [sweepCache, sweepAttempts, expireResults, removeEnded, trimNetworks]) {
    try {
      await step(options);
    } catch (error) {
      options.logger.warn({ err: error, step: step.name }, "storage could not be tidied");
    }
  }
}

/** The cache gives way first when space runs out: an entry that is missing costs a sweep, nothing else. */
async function sweepCache({ store, cacheDir, limits: { lossCache, minFreeBytes } }: RetentionOptions): Promise<void> {
  const keptBytes = await sweepLossCache(cacheDir, lossCache);
  const lackingBytes = minFreeBytes - (await store.freeBytes());
  if (lackingBytes > 0)
    await sweepLossCache(cacheDir, { ...lossCache, maxBytes: Math.max(0, keptBytes - lackingBytes) });
}

/** Folders of attempts whose worker died, of jobs that nobody has begun again. */
async function sweepAttempts({ ledger, store, logger }: RetentionOptions): Promise<void> {
  const swept = await store.sweep(async (attempt) =>
    isCurrentAttempt(await ledger.find(attempt.tenant, attempt.id), attempt),
  );
  if (swept > 0) logger.info({ swept }, "swept what earlier workers left");
  await store.sweepWork(async (tenant, id) => mayContinue(await ledger.find(tenant, id)));
}

async function expireResults({ ledger, store, limits, now, logger }: RetentionOptions): Promise<void> {
  for (const { tenant, id, reason } of chooseExpired(await ledger.listResults(), limits, now())) {
    if (await expireJob({ ledger, store }, tenant, id, reason)) logger.info({ jobId: id, reason }, "a result expired");
  }
}

async function removeEnded({ ledger, store, limits, now }: RetentionOptions): Promise<void> {
  for (const { tenant, id } of await ledger.listEndedBefore(now() - limits.endedMs))
    await removeJob({ ledger, store }, tenant, id);
}

async function trimNetworks({ ledger, limits, now, logger }: RetentionOptions): Promise<void> {
  const limit = { putBeforeMs: now() - limits.networksMs, maxBytes: limits.networksBytes };
  const removed = await ledger.trimNetworks(limit);
  if (removed > 0) logger.info({ removed }, "removed old network versions");
}

export interface ExpiredResult {
  tenant: string;
  id: string;
  /** As the job's error tells it. */
  reason: string;
}

/**
 * Returns the results that expire: those that are too old for their kind, then the oldest until the rest is within the
 * size. Pinned ones count, and stay.
 * @param results the one that ended first first
 */
export function chooseExpired(
  results: readonly KeptResult[],
  { resultsBytes, resultsMs, batchesMs }: Pick<RetentionLimits, "resultsBytes" | "resultsMs" | "batchesMs">,
  nowMs: number,
): ExpiredResult[] {
  let bytes = results.reduce((sum, result) => sum + result.bytes, 0);
  const expired: ExpiredResult[] = [];
  for (const { tenant, id, kind, pinned, endedAtMs, ...result } of results) {
    const maxAgeMs = kind === "batch" ? batchesMs : resultsMs;
    const isTooOld = nowMs - endedAtMs > maxAgeMs;
    if (pinned || (!isTooOld && bytes <= resultsBytes)) continue;
    bytes -= result.bytes;
    const reason = isTooOld ? `removed after ${toDays(maxAgeMs)} days` : "removed to make room for newer results";
    expired.push({ tenant, id, reason });
  }
  return expired;
}

function toDays(ms: number): number {
  return Math.round(ms / 86_400_000);
}
