import { existsSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { KeptResult } from "@fellmark/ledger";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { silentLogger } from "./logger.ts";
import { removeJob } from "./remove-job.ts";
import { chooseExpired, RETENTION_PERIOD_MS, type RetentionLimits, startRetention } from "./retention.ts";
import { openStorage, type Storage } from "./storage.ts";
import { createHandClock } from "./testing/hand-clock.ts";
import { KEEP_ALL } from "./testing/keep-all.ts";
import { buildSampleJob } from "./testing/sample-job.ts";
import { writeReported } from "./testing/sample-result.ts";

const DAY_MS = 86_400_000;
const NOW_MS = 1_000 * DAY_MS;

function result(id: string, ageDays: number, bytes: number, change: Partial<KeptResult> = {}): KeptResult {
  const endedAtMs = NOW_MS - ageDays * DAY_MS;
  return { tenant: "default", id, kind: "coverage", bytes, endedAtMs, pinned: false, ...change };
}

describe("choice of results that expire", () => {
  const limits = { resultsBytes: 100, resultsMs: 30 * DAY_MS, batchesMs: 5 * DAY_MS };
  const chosen = (...results: KeptResult[]) => chooseExpired(results, limits, NOW_MS).map(({ id }) => id);

  it("goes by age, sooner for batches", () => {
    expect(chosen(result("a", 31, 1), result("b", 29, 1), result("c", 6, 1, { kind: "batch" }))).toEqual(["a", "c"]);
  });

  it("goes by size, the oldest first, and no further than needed", () => {
    expect(chosen(result("a", 3, 60), result("b", 2, 60), result("c", 1, 40))).toEqual(["a"]);
    expect(chosen(result("a", 3, 60), result("b", 2, 40))).toEqual([]);
  });

  it("leaves what is pinned, and counts it", () => {
    expect(chosen(result("a", 99, 90, { pinned: true }), result("b", 2, 20))).toEqual(["b"]);
  });

  it("tells the reason", () => {
    const results = [result("a", 31, 1), result("b", 2, 101)];
    expect(chooseExpired(results, limits, NOW_MS)).toMatchObject([
      { reason: "removed after 30 days" },
      { reason: "removed to make room for newer results" },
    ]);
  });
});

describe("retention", () => {
  let folder: TempDir;
  let storage: Storage;
  const [a, b] = [buildSampleJob("a"), buildSampleJob("b")];
  beforeEach(async () => {
    folder = createTempDir();
    storage = await openStorage({ dataDir: folder.path, onError: () => {} });
  });
  afterEach(async () => {
    await storage.queue.close(0);
    await storage.ledger.close();
    folder.remove();
  });

  async function finish(job: typeof a): Promise<void> {
    const { ledger, store } = storage;
    await ledger.submit(job);
    const attempt = await ledger.begin(job.tenant, job.id);
    if (!attempt) throw new Error("it may not run");
    const reported = [writeReported(await store.stage(attempt), "summary.json", "x".repeat(1000))];
    await ledger.complete(attempt, await store.publish(attempt, reported));
  }

  async function tidy(change: Partial<RetentionLimits>, now = Date.now()): Promise<void> {
    const limits = { ...KEEP_ALL, ...change };
    const clock = createHandClock();
    (await startRetention({ ...storage, limits, now: () => now, logger: silentLogger }, clock)).stop();
    clock.advance(RETENTION_PERIOD_MS);
  }

  const published = (job: typeof a) => existsSync(join(folder.path, "results", "published", job.tenant, job.id));
  const stateOf = (job: typeof a) => storage.ledger.find(job.tenant, job.id);

  it("expires the oldest results over the size, removes their files and tells it", async () => {
    for (const job of [a, b]) await finish(job);
    await tidy({ resultsBytes: 1500 });
    expect([published(a), published(b)]).toEqual([false, true]);
    expect(await stateOf(a)).toMatchObject({ state: "expired", error: { code: "expired" }, files: null });
    expect(await stateOf(b)).toMatchObject({ state: "done" });
    await tidy({ endedMs: 10 }, Date.now() + 1000);
    expect(await stateOf(a)).toBeUndefined();
    expect(await stateOf(b)).toMatchObject({ state: "done" });
  });

  it("sweeps folders of attempts and work that are abandoned, and keeps those of jobs that may", async () => {
    await storage.ledger.submit(a);
    const attempt = await storage.ledger.begin(a.tenant, a.id);
    if (!attempt) throw new Error("it may not run");
    const [running, dead] = [
      await storage.store.stage(attempt),
      await storage.store.stage({ ...attempt, token: "0".repeat(32) }),
    ];
    for (const { tenant, id } of [a, b]) mkdirSync(storage.store.workFolder(tenant, id), { recursive: true });
    await tidy({});
    expect([existsSync(running), existsSync(dead)]).toEqual([true, false]);
    expect(existsSync(storage.store.workFolder(a.tenant, a.id))).toBe(true);
    expect(existsSync(storage.store.workFolder(b.tenant, b.id))).toBe(false);
  });

  it("has the loss cache give way when less is free than must be", async () => {
    mkdirSync(storage.cacheDir, { recursive: true });
    writeFileSync(join(storage.cacheDir, `${"a".repeat(64)}.loss`), "x");
    await tidy({});
    expect(readdirSync(storage.cacheDir)).toHaveLength(1);
    await tidy({ minFreeBytes: Number.MAX_SAFE_INTEGER });
    expect(readdirSync(storage.cacheDir)).toEqual([]);
  });

  it("removes no job that is queued or runs", async () => {
    await storage.ledger.submit(a);
    expect(await removeJob(storage, a.tenant, a.id)).toBe(false);
    expect(await stateOf(a)).toMatchObject({ state: "queued" });
  });
});
