import { HAND_OVER_MS } from "@fellmark/jobs";
import { toErrorRecord } from "@fellmark/units";
import { readEnv, toConfig } from "./config.ts";
import { createLogger } from "./logger.ts";
import { startService, type WorkerService } from "./service.ts";
import { stopOnSignals } from "./stop-on-signals.ts";

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
  const { code, detail } = toErrorRecord(error);
  process.stderr.write(`${code}: ${detail}\n`);
  process.exit(code === "bad_configuration" ? 2 : 1);
}
