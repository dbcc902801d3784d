import type { Clock } from "./clock.ts";
import { isStorageFault } from "./is-retryable.ts";

const PAUSE_MS = 1_000;

/**
 * Writes what must not be lost, again every second while the disk does not take it. Rejects with the fault of the disk
 * when the signal aborts, with any other error at once.
 */
export async function retryUntilStored<T>(clock: Clock, signal: AbortSignal, write: () => Promise<T>): Promise<T> {
  for (;;) {
    try {
      return await write();
    } catch (error) {
      if (!isStorageFault(error) || signal.aborted) throw error;
    }
    await pause(clock, signal);
  }
}

function pause(clock: Clock, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const goOn = () => {
      stop();
      signal.removeEventListener("abort", goOn);
      resolve();
    };
    const stop = clock.every(PAUSE_MS, goOn);
    signal.addEventListener("abort", goOn);
  });
}
