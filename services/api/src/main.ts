import { toErrorRecord } from "@fellmark/units";
import { pino } from "pino";
import { readEnv, toConfig } from "./config.ts";
import { startService } from "./service.ts";
import { stopOnSignal } from "./stop-on-signal.ts";

/** Exit codes: 0 ended by a signal, 1 could not start or stop, 2 bad configuration, 130 ended by a second signal. */
try {
  const config = toConfig(readEnv());
  const logger = pino({ level: config.logLevel });
  const service = await startService(config, logger);
  stopOnSignal(service.close, logger);
  const { address, operationsAddress } = service;
  // Not through the logger: whoever started us on a free port must read this at any log level.
  process.stdout.write(
    `${JSON.stringify({ address, ...(operationsAddress !== undefined && { operationsAddress }) })}\n`,
  );
} catch (error) {
  const record = toErrorRecord(error);
  process.stderr.write(`${JSON.stringify(record)}\n`);
  process.exit(record.code === "bad_configuration" ? 2 : 1);
}
