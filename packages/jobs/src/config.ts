import path from "node:path";
import type { FieldProblem } from "@fellmark/units";
import type { RetentionLimits } from "./retention.ts";

/** Everything a service may be told from outside, as text. */
export type RawSettings = Readonly<Record<string, string | undefined>>;

/** Settings that must be the same in every process of one installation. */
export interface StorageSettings {
  dataDir: string;
  terrainDir: string;
  /** Absent: the embedded queue. */
  redisUrl: string | undefined;
  retention: RetentionLimits;
}

const DAY_MS = 86_400_000;
const MB = 2 ** 20;
const MOST_MB = 2 ** 30;
const MOST_DAYS = 36_500;

/** Reads the common settings; adds what is wrong to `faults`. */
export function toStorageSettings(raw: RawSettings, faults: FieldProblem[]): StorageSettings {
  return {
    dataDir: path.resolve(raw.FELLMARK_DATA_DIR?.trim() || ".data"),
    terrainDir: path.resolve(raw.FELLMARK_TERRAIN_DIR?.trim() || "terrain"),
    redisUrl: toRedisUrl(raw.REDIS_URL?.trim() || undefined, faults),
    retention: toRetentionLimits(raw, faults),
  };
}

function toRetentionLimits(raw: RawSettings, faults: FieldProblem[]): RetentionLimits {
  const bytes = (name: string, fallback: number, min = 1) =>
    MB * toWholeNumber(raw, name, { fallback, min, max: MOST_MB }, faults);
  const days = (name: string, fallback: number) =>
    DAY_MS * toWholeNumber(raw, name, { fallback, min: 1, max: MOST_DAYS }, faults);
  return {
    minFreeBytes: bytes("FELLMARK_MIN_FREE_MB", 256, 0),
    resultsBytes: bytes("FELLMARK_RESULTS_MB", 20_480),
    resultsMs: days("FELLMARK_RESULTS_DAYS", 365),
    batchesMs: days("FELLMARK_BATCHES_DAYS", 90),
    endedMs: days("FELLMARK_ENDED_DAYS", 30),
    networksBytes: bytes("FELLMARK_NETWORKS_MB", 256),
    networksMs: days("FELLMARK_NETWORKS_DAYS", 365),
    lossCache: { maxBytes: bytes("FELLMARK_CACHE_MB", 2_048), maxAgeMs: days("FELLMARK_CACHE_DAYS", 90) },
  };
}

/** The address may hold a password: it is never quoted. */
function toRedisUrl(text: string | undefined, faults: FieldProblem[]): string | undefined {
  if (text === undefined || /^rediss?:\/\/\S+$/.test(text)) return text;
  faults.push({ pointer: "REDIS_URL", detail: "is not the URL of a Redis server", limit: "redis:// or rediss://" });
  return undefined;
}

export interface WholeNumberLimits {
  fallback: number;
  min: number;
  max: number;
}

/** A whole number from text; the fallback where there is none. A malformed one is a fault, never the fallback. */
export function toWholeNumber(
  raw: RawSettings,
  name: string,
  { fallback, min, max }: WholeNumberLimits,
  faults: FieldProblem[],
): number {
  const text = raw[name]?.trim();
  if (!text) return fallback;
  const value = Number(text);
  if (/^\d+$/.test(text) && value >= min && value <= max) return value;
  faults.push({ pointer: name, detail: `must be a whole number, got "${text}"`, limit: `${min} to ${max}` });
  return fallback;
}
