import type { EventEmitter } from "node:events";
import type { Logger } from "pino";

export interface StopOptions {
  /** Emits SIGTERM and SIGINT: the process. */
  signals: EventEmitter;
  close: () => Promise<void>;
  /** After this the process ends whatever `close` does. */
  limitMs: number;
  logger: Logger;
  exit: (code: number) => void;
}

/**
 * Ends the process in order at the first signal: exit code 0, or 1 when closing fails or takes too long. A second signal
 * ends it at once, exit code 130. The returned function does what a first signal does, but always with exit code 1.
 */
export function stopOnSignals({ signals, close, limitMs, logger, exit }: StopOptions): (reason: string) => void {
  let isStopping = false;

  function stop(reason: string, exitCode: number): void {
    if (isStopping) {
      exit(130);
      return;
    }
    isStopping = true;
    logger.info({ reason }, "stopping");
    setTimeout(() => exit(1), limitMs).unref();
    close().then(
      () => exit(exitCode),
      (error: unknown) => {
        logger.error({ err: error }, "could not stop in order");
        exit(1);
      },
    );
  }

  for (const signal of ["SIGTERM", "SIGINT"]) signals.on(signal, () => stop(signal, 0));
  return (reason) => {
    if (!isStopping) stop(reason, 1);
  };
}
