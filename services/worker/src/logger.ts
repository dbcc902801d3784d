import { type DestinationStream, type Logger, pino } from "pino";

/**
 * JSON lines on stdout. An error of the Redis client carries the arguments of its command, AUTH's password among them:
 * they are never written.
 */
export function createLogger(level: string, destination?: DestinationStream): Logger {
  const redact = ["err.command.args", "err.cause.command.args", "err.aggregateErrors[*].command.args"];
  return destination ? pino({ level, redact }, destination) : pino({ level, redact });
}

/** An address fit for a log: without its password. */
export function hidePassword(address: string): string {
  const url = new URL(address);
  if (url.password !== "") url.password = "***";
  return url.href;
}
