import {
  type RawSettings,
  type ReachFaultPoint,
  type StorageSettings,
  toFaultPoint,
  toStorageSettings,
  toWholeNumber,
} from "@fellmark/jobs";
import type { SubmitLimit } from "@fellmark/ledger";
import { type FieldProblem, InputError } from "@fellmark/units";
import { LOOPBACK_HOSTS } from "./http/allowed-hosts.ts";

export interface ApiConfig extends StorageSettings {
  host: string;
  /** 0: any free port. */
  port: number;
  logLevel: string;
  /** Queued and running jobs of a tenant, and their foreseen work, above which the next is refused with 429. */
  unfinished: Required<SubmitLimit>;
  maxRequestsPerMinute: number;
  maxConnections: number;
  /** Open connections from one address, where no proxy is trusted. */
  maxConnectionsPerAddress: number;
  timeouts: ConnectionTimeouts;
  /** Port of metrics and readiness; absent: they are served beside everything else. */
  operationsPort?: number;
  /** Host names, without port, that requests may name; absent: any. */
  allowedHosts?: readonly string[];
  /** Proxies in front whose X-Forwarded-For is believed. */
  trustedProxies: number;
  /** Time that a job stays with a worker that no longer reports. */
  leaseMs: number;
  /** Time that running jobs have to end once the service is told to stop; then they are handed over. */
  shutdownMs: number;
  /** Of the worker in this process, which runs when there is no Redis. */
  worker: EmbeddedWorkerConfig;
}

export interface ConnectionTimeouts {
  /** Time for the headers, also of a connection that sends nothing. */
  headersMs: number;
  /** Time for a whole body, and the longest silence in one that may be large. */
  bodyMs: number;
  /** Time that a connection may stay open between two requests. */
  idleMs: number;
}

export interface EmbeddedWorkerConfig {
  /** Longest time one attempt may compute. */
  deadlineMs: number;
  maxAttempts: number;
  /** Jobs at a time. */
  concurrency: number;
  /** Threads of one coverage; absent: the compute child decides. */
  threads?: number;
  memoryCapBytes: number;
  reachFaultPoint: ReachFaultPoint;
}

const LOG_LEVELS = ["fatal", "error", "warn", "info", "debug", "trace", "silent"];

/** The only reader of the environment in this service. */
export function readEnv(): RawSettings {
  return { ...process.env };
}

/**
 * The configuration from raw text, defaults filled in, frozen.
 * Throws InputError `bad_configuration` that names every fault at once; a malformed number is a fault, never the default.
 */
export function toConfig(raw: RawSettings): ApiConfig {
  const faults: FieldProblem[] = [];
  const whole = (name: string, fallback: number, min: number, max: number) =>
    toWholeNumber(raw, name, { fallback, min, max }, faults);
  const operationsPort = raw.FELLMARK_OPERATIONS_PORT?.trim()
    ? whole("FELLMARK_OPERATIONS_PORT", 0, 0, 65_535)
    : undefined;
  const host = raw.FELLMARK_HOST?.trim() || "127.0.0.1";
  const allowedHosts = toAllowedHosts(raw.FELLMARK_ALLOWED_HOSTS, host);
  const config: ApiConfig = {
    ...toStorageSettings(raw, faults),
    host,
    ...(operationsPort !== undefined && { operationsPort }),
    ...(allowedHosts && { allowedHosts }),
    port: whole("FELLMARK_PORT", 8080, 0, 65_535),
    logLevel: toLogLevel(raw, faults),
    unfinished: Object.freeze({
      maxUnfinished: whole("FELLMARK_MAX_UNFINISHED", 200, 1, 1_000_000),
      maxUnfinishedS: whole("FELLMARK_MAX_UNFINISHED_S", 36_000, 1, 1_000_000_000),
    }),
    maxRequestsPerMinute: whole("FELLMARK_MAX_REQUESTS_PER_MINUTE", 3_000, 1, 10_000_000),
    maxConnections: whole("FELLMARK_MAX_CONNECTIONS", 1_000, 1, 1_000_000),
    maxConnectionsPerAddress: whole("FELLMARK_MAX_CONNECTIONS_PER_ADDRESS", 200, 1, 1_000_000),
    timeouts: Object.freeze({
      headersMs: whole("FELLMARK_HEADERS_TIMEOUT_MS", 10_000, 10, 600_000),
      bodyMs: whole("FELLMARK_BODY_TIMEOUT_MS", 15_000, 10, 600_000),
      idleMs: whole("FELLMARK_IDLE_TIMEOUT_MS", 5_000, 10, 600_000),
    }),
    trustedProxies: whole("FELLMARK_TRUSTED_PROXIES", 0, 0, 10),
    shutdownMs: whole("FELLMARK_SHUTDOWN_MS", 10_000, 0, 600_000),
    leaseMs: whole("FELLMARK_LEASE_MS", 30_000, 100, 3_600_000),
    worker: toWorkerConfig(raw, faults),
  };
  if (faults.length > 0) throw new InputError(faults, "bad_configuration");
  return Object.freeze(config);
}

/** The host names that are listed; else those of this machine where only it can connect, and any where others can. */
function toAllowedHosts(text: string | undefined, host: string): readonly string[] | undefined {
  const listed = (text ?? "")
    .toLowerCase()
    .split(/[\s,]+/)
    .filter((name) => name !== "");
  if (listed.length > 0) return listed.includes("*") ? undefined : Object.freeze(listed);
  return ["127.0.0.1", "::1", "localhost"].includes(host) ? LOOPBACK_HOSTS : undefined;
}

/** The names and defaults of services/worker, so that moving to a worker of its own changes nothing. */
function toWorkerConfig(raw: RawSettings, faults: FieldProblem[]): EmbeddedWorkerConfig {
  const whole = (name: string, fallback: number, min: number, max: number) =>
    toWholeNumber(raw, name, { fallback, min, max }, faults);
  const threads = whole("FELLMARK_THREADS", 0, 0, 256);
  return Object.freeze({
    deadlineMs: whole("FELLMARK_DEADLINE_MS", 600_000, 1_000, 86_400_000),
    maxAttempts: whole("FELLMARK_MAX_ATTEMPTS", 3, 1, 100),
    concurrency: whole("FELLMARK_CONCURRENCY", 1, 1, 64),
    ...(threads > 0 ? { threads } : {}),
    memoryCapBytes: whole("FELLMARK_MEMORY_CAP_MB", 4_096, 128, 1_048_576) * 2 ** 20,
    reachFaultPoint: toFault(raw.FAULT_POINT?.trim() || undefined, faults),
  });
}

function toFault(text: string | undefined, faults: FieldProblem[]): ReachFaultPoint {
  try {
    return toFaultPoint(text);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    faults.push(...error.problems);
    return () => {};
  }
}

function toLogLevel(raw: RawSettings, faults: FieldProblem[]): string {
  const level = raw.FELLMARK_LOG_LEVEL?.trim() || "info";
  if (LOG_LEVELS.includes(level)) return level;
  faults.push({ pointer: "FELLMARK_LOG_LEVEL", detail: `"${level}" is not a log level`, limit: LOG_LEVELS.join(", ") });
  return "info";
}
