import path from "node:path";
import type { FieldProblem } from "@fellmark/units";

/** Everything a service may be told from outside, as text. */
export type RawSettings = Readonly<Record<string, string | undefined>>;

/** Settings that must be the same in every process of one installation. */
export interface StorageSettings {
  dataDir: string;
  terrainDir: string;
  /** Absent: the embedded queue. */
  redisUrl: string | undefined;
}

/** Reads the common settings; adds what is wrong to `faults`. */
export function toStorageSettings(raw: RawSettings, faults: FieldProblem[]): StorageSettings {
  return {
    dataDir: path.resolve(raw.FELLMARK_DATA_DIR?.trim() || ".data"),
    terrainDir: path.resolve(raw.FELLMARK_TERRAIN_DIR?.trim() || "terrain"),
    redisUrl: toRedisUrl(raw.REDIS_URL?.trim() || undefined, faults),
  };
}

/** The address may hold a password: it is never quoted. */
function toRedisUrl(text: string | undefined, faults: FieldProblem[]): string | undefined {
  if (text === undefined || /^rediss?:\/\/\S+$/.test(text)) return text;
  faults.push({ pointer: "REDIS_URL", detail: "is no address of a Redis server", limit: "redis:// or rediss://" });
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
