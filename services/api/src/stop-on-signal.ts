import type { Logger } from "pino";

/** On SIGTERM or SIGINT closes the service and ends the process with 0, or 1 when that fails; a second one ends it at once. */
export function stopOnSignal(close: () => Promise<void>, logger: Logger): void {
  let stopping = false;
  const stop = (signal: NodeJS.Signals) => {
    if (stopping) process.exit(130);
    stopping = true;
    logger.info({ signal }, "stopping");
    close().then(
      () => process.exit(0),
      () => process.exit(1),
    );
  };
  process.on("SIGTERM", stop).on("SIGINT", stop);
}
