import path from "node:path";
import { type FieldProblem, InputError } from "@fellmark/units";

/** Everything the service may be told from outside, as text. */
export type RawConfig = Readonly<Record<string, string | undefined>>;

export interface ApiConfig {
  host: string;
  /** 0: any free port. */
  port: number;
  logLevel: string;
  dataDir: string;
  terrainDir: string;
  /** Absent: the embedded queue, with a worker in this process. */
  redisUrl: string | undefined;
  /** Queued and running jobs above which a tenant's next coverage is refused with 429. */
  maxUnfinishedJobs: number;
  maxRequestsPerMinute: number;
  maxConnections: number;
  /** Proxies in front whose X-Forwarded-For is believed. */
  trustedProxies: number;
  shutdownMs: number;
}

const LOG_LEVELS = ["fatal", "error", "warn", "info", "debug", "trace", "silent"];

/** The only reader of the environment in this service. */
export function readEnv(): RawConfig {
  return { ...process.env };
}

/**
 * The configuration from raw text, defaults filled in, frozen.
 * Throws InputError that names every fault at once; a malformed number is a fault, never the default.
 */
export function toConfig(raw: RawConfig): ApiConfig {
  const faults: FieldProblem[] = [];
  const text = (name: string, fallback: string) => raw[name]?.trim() || fallback;
  const whole = (name: string, fallback: number, min: number, max: number): number => {
    const value = Number(text(name, String(fallback)));
    if (Number.isInteger(value) && value >= min && value <= max) return value;
    faults.push({ pointer: name, detail: `must be a whole number, got "${raw[name]}"`, limit: `${min} to ${max}` });
    return fallback;
  };
  const logLevel = text("FELLMARK_LOG_LEVEL", "info");
  if (!LOG_LEVELS.includes(logLevel)) {
    faults.push({ pointer: "FELLMARK_LOG_LEVEL", detail: `"${logLevel}" is no level`, limit: LOG_LEVELS.join(", ") });
  }
  const config: ApiConfig = {
    host: text("FELLMARK_HOST", "127.0.0.1"),
    port: whole("FELLMARK_PORT", 8080, 0, 65_535),
    logLevel,
    dataDir: path.resolve(text("FELLMARK_DATA_DIR", ".data")),
    terrainDir: path.resolve(text("FELLMARK_TERRAIN_DIR", "terrain")),
    redisUrl: raw.REDIS_URL?.trim() || undefined,
    maxUnfinishedJobs: whole("FELLMARK_MAX_UNFINISHED", 200, 1, 1_000_000),
    maxRequestsPerMinute: whole("FELLMARK_MAX_REQUESTS_PER_MINUTE", 3_000, 1, 10_000_000),
    maxConnections: whole("FELLMARK_MAX_CONNECTIONS", 1_000, 1, 1_000_000),
    trustedProxies: whole("FELLMARK_TRUSTED_PROXIES", 0, 0, 10),
    shutdownMs: whole("FELLMARK_SHUTDOWN_MS", 10_000, 0, 600_000),
  };
  if (faults.length > 0) throw new InputError(faults, "bad_configuration");
  return Object.freeze(config);
}
