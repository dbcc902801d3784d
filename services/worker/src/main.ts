import { HAND_OVER_MS } from "@fellmark/jobs";
import { toErrorRecord } from "@fellmark/units";
import { readEnv, toConfig } from "./config.ts";
import { createLogger } from "./logger.ts";
import { startService, type WorkerService } from "./service.ts";
import { stopOnSignals } from "./stop-on-signals.ts";

/** Exit codes: 0 ended by a signal, 1 could not start, stop or go on, 2 bad configuration, 130 ended by a second signal. */
try {
  const config = toConfig(readEnv());
  const logger = createLogger(config.logLevel);
  let service: WorkerService | undefined;
  const stop = stopOnSignals({
    signals: process,
    close: async () => service?.close(config.shutdownMs),
    limitMs: config.shutdownMs + 3 * HAND_OVER_MS,
    logger,
    exit: process.exit,
  });
  service = await startService({ config, logger, onUnfit: stop });
} catch (error) {
  const record = toErrorRecord(error);
  process.stderr.write(`${JSON.stringify(record)}\n`);
  process.exit(record.code === "bad_configuration" ? 2 : 1);
}
