/** Time as queues and workers see it; tests move it by hand. */
export interface Clock {
  /** Milliseconds that never step back and are the same in every process of one machine until it restarts. */
  nowMs(): number;
  /** Calls `run` every period until the returned function is called. */
  every(periodMs: number, run: () => void): () => void;
}

/** The system's monotonic clock: steps of the wall clock neither end a lease nor keep one. */
export const systemClock: Clock = {
  nowMs: () => Number(process.hrtime.bigint() / 1_000_000n),
  every(periodMs, run) {
    const timer = setInterval(run, periodMs);
    return () => clearInterval(timer);
  },
};

/** Runs a task, which must not reject, every period, never twice at a time, until the returned function is called. */
export function repeat(clock: Clock, periodMs: number, task: () => Promise<void>): () => void {
  let isBusy = false;
  return clock.every(periodMs, async () => {
    if (isBusy) return;
    isBusy = true;
    await task();
    isBusy = false;
  });
}
