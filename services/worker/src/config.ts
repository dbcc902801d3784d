import { type RawSettings, type StorageSettings, toFaultPoint, toStorageSettings, toWholeNumber } from "@fellmark/jobs";
import { type FieldProblem, InputError } from "@fellmark/units";

export interface WorkerConfig extends StorageSettings {
  logLevel: string;
  /** Coverages at a time. */
  concurrency: number;
  /** Threads of one coverage; absent: the compute child decides. */
  threads: number | undefined;
  /** Longest time one attempt may compute. */
  deadlineMs: number;
  memoryCapBytes: number;
  maxAttempts: number;
  /** Time for which a job stays with a worker that no longer answers. */
  leaseMs: number;
  /** Time for running jobs to end after SIGTERM before they are handed over. */
  shutdownMs: number;
  /** Fault that tests ask for: name:n[:kill|stop|raise]. */
  faultPoint: string | undefined;
}

const LOG_LEVELS = ["fatal", "error", "warn", "info", "debug", "trace", "silent"];

/** The only reader of the environment in this service. */
export function readEnv(): RawSettings {
  return { ...process.env };
}

/**
 * The configuration from raw text, defaults filled in, frozen.
 * Throws InputError that names every fault at once; a malformed number is a fault, never the default.
 */
export function toConfig(raw: RawSettings): WorkerConfig {
  const faults: FieldProblem[] = [];
  const whole = (name: string, fallback: number, min: number, max: number) =>
    toWholeNumber(raw, name, { fallback, min, max }, faults);
  const logLevel = raw.FELLMARK_LOG_LEVEL?.trim() || "info";
  if (!LOG_LEVELS.includes(logLevel)) {
    faults.push({
      pointer: "FELLMARK_LOG_LEVEL",
      detail: `"${logLevel}" is not a level`,
      limit: LOG_LEVELS.join(", "),
    });
  }
  const config: WorkerConfig = {
    ...toStorageSettings(raw, faults),
    logLevel,
    concurrency: whole("FELLMARK_CONCURRENCY", 1, 1, 64),
    threads: whole("FELLMARK_THREADS", 0, 0, 256) || undefined,
    deadlineMs: whole("FELLMARK_DEADLINE_MS", 600_000, 1_000, 86_400_000),
    memoryCapBytes: whole("FELLMARK_MEMORY_CAP_MB", 4_096, 128, 1_048_576) * 2 ** 20,
    maxAttempts: whole("FELLMARK_MAX_ATTEMPTS", 3, 1, 100),
    leaseMs: whole("FELLMARK_LEASE_MS", 30_000, 100, 3_600_000),
    shutdownMs: whole("FELLMARK_SHUTDOWN_MS", 25_000, 0, 600_000),
    faultPoint: toFaultText(raw.FAULT_POINT?.trim() || undefined, faults),
  };
  if (faults.length > 0) throw new InputError(faults, "bad_configuration");
  return Object.freeze(config);
}

function toFaultText(text: string | undefined, faults: FieldProblem[]): string | undefined {
  try {
    toFaultPoint(text);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    faults.push(...error.problems);
  }
  return text;
}
