/** Reference to a job; the ledger holds everything else about it. */
export interface JobRef {
  tenant: string;
  id: string;
}

/**
 * Runs one job; must be safe to run twice. The signal says: lock lost or shutting down, stop now.
 * When it resolves the queue forgets the reference; when it rejects the queue delivers it again after a pause.
 */
export type JobHandler = (ref: JobRef, signal: AbortSignal) => Promise<void>;

/** Dispatch of job references to workers, at least once each. */
export interface JobQueue {
  /** Idempotent while the job waits or runs. Rejects with TransientError when the queue cannot be reached. */
  enqueue(ref: JobRef): Promise<void>;
  /** Forgets a waiting job; a running one is left alone. */
  remove(ref: JobRef): Promise<void>;
  /** Starts handing jobs to the handler, `concurrency` at a time. */
  work(handler: JobHandler, concurrency: number): Promise<void>;
  /** Proves a round trip; rejects with TransientError otherwise. */
  check(): Promise<void>;
  /**
   * Takes no new jobs and waits for running ones up to the limit; then aborts their signals, so that they are delivered
   * to somebody else at once, and gives up soon after; idempotent.
   */
  close(timeoutMs: number): Promise<void>;
}

/** Time that handlers have, once aborted by `close`, to hand their job over. */
export const HAND_OVER_MS = 2_000;
