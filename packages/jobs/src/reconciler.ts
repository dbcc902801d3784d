import type { Ledger } from "@fellmark/ledger";
import { type Clock, repeat } from "./clock.ts";
import type { Logger } from "./logger.ts";
import type { JobQueue } from "./queue.ts";

export const RECONCILE_PERIOD_MS = 10_000;

export interface ReconcilerOptions {
  ledger: Pick<Ledger, "listUnfinished">;
  queue: Pick<JobQueue, "enqueue">;
  clock: Clock;
  logger: Logger;
}

/**
 * Puts every unfinished job of the ledger into the queue, now and every 10 s: those whose reference the queue never got
 * or has lost. Where the reference is still there nothing changes. Never rejects; what fails is tried at the next turn.
 */
export async function startReconciler(options: ReconcilerOptions): Promise<{ stop: () => void }> {
  await reconcile(options);
  return { stop: repeat(options.clock, RECONCILE_PERIOD_MS, () => reconcile(options)) };
}

async function reconcile({ ledger, queue, logger }: ReconcilerOptions): Promise<void> {
  try {
    for (const { tenant, id } of await ledger.listUnfinished()) await queue.enqueue({ tenant, id });
  } catch (error) {
    logger.warn({ err: error }, "the queue could not be brought in line with the ledger");
  }
}
