import { EventEmitter } from "node:events";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { createTempDir, type TempDir, waitForEvent } from "@fellmark/testkit";
import { FellmarkError } from "@fellmark/units";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Logger } from "./logger.ts";
import { openStorage, type Storage } from "./storage.ts";
import { createCoverOnly } from "./testing/cover-only.ts";
import { KEEP_ALL } from "./testing/keep-all.ts";
import { buildSampleJob } from "./testing/sample-job.ts";
import { writeSampleResult } from "./testing/sample-result.ts";
import { type RunningWorker, startWorker } from "./worker.ts";

const MAX_ATTEMPTS = 3;

let folder: TempDir;
let storage: Storage;
let log: EventEmitter;

beforeEach(async () => {
  folder = createTempDir();
  log = new EventEmitter();
  storage = await openStorage({ dataDir: folder.path, onError: () => {} });
});
afterEach(async () => {
  await storage.queue.close(0);
  await storage.ledger.close();
  folder.remove();
});

const a = buildSampleJob("a");
const b = buildSampleJob("b");

function stateOf({ tenant, id }: { tenant: string; id: string }) {
  return storage.ledger.find(tenant, id);
}

describe("worker", () => {
  function start(cover: Compute["cover"]): Promise<RunningWorker> {
    const write = (fields: object, message: string) => log.emit(message, fields);
    const logger: Logger = { info: write, warn: write, error: write };
    const folders = { terrainDir: "/terrain" };
    const limits = { deadlineMs: 60_000, maxAttempts: MAX_ATTEMPTS, retention: KEEP_ALL };
    return startWorker({ ...storage, compute: createCoverOnly(cover), ...folders, ...limits, logger });
  }
  const published = (id: string) => waitForEvent<{ jobId: string }>(log, "published", ({ jobId }) => jobId === id);

  it("runs a job of the ledger though the queue has lost it (F10)", async () => {
    await storage.ledger.submit(a);
    const done = published(a.id);
    await start(writeSampleResult);
    await done;
    expect(await stateOf(a)).toMatchObject({ state: "done", attempt: 1 });
  });

  it("goes on with the next job after it gave up on a poisonous one (F4)", async () => {
    for (const job of [a, b]) await storage.ledger.submit(job);
    for (let attempt = 1; attempt <= MAX_ATTEMPTS; attempt++) await storage.ledger.begin(a.tenant, a.id);
    const done = published(b.id);
    await start(writeSampleResult);
    await done;
    expect(await stateOf(a)).toMatchObject({ state: "failed", error: { code: "worker_killed" } });
    expect(await stateOf(b)).toMatchObject({ state: "done" });
  });

  it("sweeps what a dead worker left of a job that another finished since", async () => {
    const { job } = await storage.ledger.submit(a);
    await storage.store.stage({ ...job, token: "7".repeat(32) });
    await start(writeSampleResult);
    expect(readdirSync(join(folder.path, "results", "staged", job.tenant))).toEqual([]);
  });

  it("lets a job end before it closes (F7)", async () => {
    await storage.ledger.submit(a);
    const closing = new Promise<void>((computing) => {
      void start(async (task) => {
        computing();
        return writeSampleResult(task);
      });
    }).then(() => storage.queue.close(10_000));
    await closing;
    expect(await stateOf(a)).toMatchObject({ state: "done" });
  });

  it("hands a job over that does not end in time, and a successor finishes it (F7)", async () => {
    await storage.ledger.submit(a);
    const worker = await new Promise<Promise<RunningWorker>>((computing) => {
      const started = start((_task, { signal }) => {
        computing(started);
        return new Promise((_resolve, reject) => {
          signal?.addEventListener("abort", () => reject(new FellmarkError("cancelled", "stopped")));
        });
      });
    });
    await worker.close(0);
    expect(await stateOf(a)).toMatchObject({ state: "queued", attempt: 1 });
    storage = await openStorage({ dataDir: folder.path, onError: () => {} });
    const done = published(a.id);
    await start(writeSampleResult);
    await done;
    expect(await stateOf(a)).toMatchObject({ state: "done", attempt: 2 });
  });
});
