import { randomUUID } from "node:crypto";
import { readdir, rm, stat } from "node:fs/promises";
import { hostname } from "node:os";
import { join } from "node:path";

/** Limits of the folder of a loss cache. */
export interface LossCacheLimits {
  maxBytes: number;
  /** Time after its last use for which an entry is kept, ms; absent: as long as there is room. */
  maxAgeMs?: number;
}

const ENTRY = /^[0-9a-f]{64}\.loss$/;
const TEMPORARY = /^[0-9a-f]{64}\.loss\.(?:(.+)-(\d+)-[0-9a-f-]{36}|\d+)\.tmp$/;

/** A temporary file this old was left by a process that died, wherever it ran. */
const ABANDONED_MS = 3_600_000;

export function nameEntry(key: string): string {
  return `${key}.loss`;
}

/** Returns a name for an entry that is being written: no two writers share one, and it tells who writes. */
export function nameTemporary(key: string): string {
  return `${nameEntry(key)}.${hostname()}-${process.pid}-${randomUUID()}.tmp`;
}

interface Found {
  path: string;
  bytes: number;
  usedAtMs: number;
}

/**
 * Removes what writers that died have left, entries that are too old, and the least recently used ones beyond the
 * size. Returns the bytes that are left. Other processes may remove the same files at the same time.
 */
export async function sweepLossCache(folder: string, { maxBytes, maxAgeMs }: LossCacheLimits): Promise<number> {
  const nowMs = Date.now();
  const names = await readdir(folder).catch(() => []);
  for (const name of names) if (TEMPORARY.test(name)) await removeAbandoned(join(folder, name), name, nowMs);
  const entries = await Promise.all(names.filter((name) => ENTRY.test(name)).map((name) => find(join(folder, name))));
  const newestFirst = entries.filter((entry) => entry !== undefined).sort((a, b) => b.usedAtMs - a.usedAtMs);
  let bytes = 0;
  for (const entry of newestFirst) {
    const isTooOld = maxAgeMs !== undefined && nowMs - entry.usedAtMs > maxAgeMs;
    if (isTooOld || bytes + entry.bytes > maxBytes) await rm(entry.path, { force: true });
    else bytes += entry.bytes;
  }
  return bytes;
}

async function removeAbandoned(path: string, name: string, nowMs: number): Promise<void> {
  const [, host, pid] = TEMPORARY.exec(name) ?? [];
  const isLeft = host === hostname() && hasEnded(Number(pid));
  const found = await find(path);
  if (found && (isLeft || nowMs - found.usedAtMs > ABANDONED_MS)) await rm(path, { force: true });
}

/** Signal 0 reaches every process that there is. Source: kill(2). */
function hasEnded(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return false;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === "ESRCH";
  }
}

/** Undefined for a file that has gone meanwhile. */
async function find(path: string): Promise<Found | undefined> {
  const found = await stat(path).catch(() => undefined);
  return found && { path, bytes: found.size, usedAtMs: found.mtimeMs };
}
