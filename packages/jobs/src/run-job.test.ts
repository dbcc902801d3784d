import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { openFolderStore, openSqliteLedger, type WorkerLedger, type WorkerStore } from "@fellmark/ledger";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { FellmarkError, InputError, TerrainError, TransientError } from "@fellmark/units";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { JobCompute } from "./compute-job.ts";
import type { ReachFaultPoint } from "./fault-point.ts";
import type { JobContext } from "./job-context.ts";
import { silentLogger } from "./logger.ts";
import { REPORT_PERIOD_MS } from "./progress-reports.ts";
import type { JobRef } from "./queue.ts";
import { runJob } from "./run-job.ts";
import { createCoverOnly } from "./testing/cover-only.ts";
import { createHandClock, type HandClock } from "./testing/hand-clock.ts";
import { buildSampleJob, buildSampleRequest } from "./testing/sample-job.ts";
import { writeReported, writeSampleResult } from "./testing/sample-result.ts";

const MAX_ATTEMPTS = 3;

describe("running a job", () => {
  let folder: TempDir;
  let ledger: WorkerLedger;
  let store: WorkerStore | undefined;
  let clock: HandClock;
  let cover: Compute["cover"];
  let compute: JobCompute | undefined;
  let reachFaultPoint: ReachFaultPoint;
  let closing: AbortController;
  const job = buildSampleJob("a");
  const { tenant, id } = job;

  beforeEach(async () => {
    folder = createTempDir();
    ledger = await openSqliteLedger(join(folder.path, "ledger.sqlite"));
    clock = createHandClock();
    cover = writeSampleResult;
    store = undefined;
    compute = undefined;
    reachFaultPoint = () => {};
    closing = new AbortController();
    await ledger.submit(job);
  });
  afterEach(async () => {
    await ledger.close();
    folder.remove();
  });

  function run(ref: JobRef = { tenant, id }): Promise<void> {
    store ??= openFolderStore(join(folder.path, "results"));
    const folders = { terrainDir: "/terrain", cacheDir: "/cache", premisesDir: "/premises" };
    const limits = { deadlineMs: 60_000, maxAttempts: MAX_ATTEMPTS };
    const rest = { logger: silentLogger, clock, reachFaultPoint };
    const context: JobContext = {
      ledger,
      store,
      compute: compute ?? createCoverOnly(cover),
      ...folders,
      ...limits,
      ...rest,
    };
    return runJob(context, ref, closing.signal);
  }

  /** Folders of attempts that are left, staged as ID.TOKEN or published as TOKEN. */
  function attemptsLeft(): string[] {
    const results = join(folder.path, "results");
    const folders = [join(results, "staged", tenant), join(results, "published", tenant, id)];
    return folders.filter((path) => existsSync(path)).flatMap((path) => readdirSync(path));
  }

  /** A cover that runs until its signal aborts, and rejects as the compute child does. */
  const untilAborted: Compute["cover"] = (_task, { signal }) =>
    new Promise((_resolve, reject) => {
      signal?.addEventListener("abort", () => reject(new FellmarkError("cancelled", "stopped")));
    });

  /** Runs a job up to the moment when it computes. */
  async function runUntilComputing(): Promise<{ ended: Promise<void> }> {
    let ended: Promise<void> = Promise.resolve();
    await new Promise<void>((computing) => {
      cover = (task, limits) => {
        computing();
        return untilAborted(task, limits);
      };
      ended = run();
    });
    return { ended };
  }

  it("publishes the result under the attempt and calls the job done", async () => {
    cover = async (task, limits) => {
      expect(task).toMatchObject({ jobId: id, terrainDir: "/terrain", cacheDir: "/cache", request: { name: "a" } });
      expect(limits.deadlineMs).toBe(60_000);
      return writeSampleResult(task);
    };
    await run();
    const done = await ledger.find(tenant, id);
    expect(done).toMatchObject({ state: "done", progress: 1, attempt: 1, error: null });
    expect(done?.files?.map(({ name }) => name)).toEqual(["rasters/tier.tif", "summary.json"]);
    expect(attemptsLeft()).toEqual([done?.token]);
  });

  it.each([
    ["comparison", "compare"],
    ["advice", "advise"],
    ["batch", "batch"],
  ] as const)("has a %s computed by the call for it", async (kind, call) => {
    const request = buildSampleRequest(kind);
    const other = { ...buildSampleJob("b"), kind, request: JSON.stringify(request) };
    await ledger.submit(other);
    const answer = vi.fn(async ({ outDir }: { outDir: string }) => [writeReported(outDir, "summary.json", "{}")]);
    const never = () => Promise.reject(new Error("must not run"));
    compute = { cover: never, compare: never, advise: never, batch: never, [call]: answer };
    await run(other);
    expect(await ledger.find(tenant, other.id)).toMatchObject({ state: "done", kind });
    expect(answer.mock.calls[0]?.[0]).toMatchObject({ jobId: other.id, terrainDir: "/terrain", request });
  });

  it("does nothing for a job that has ended or is not there", async () => {
    await ledger.requestCancel(tenant, id);
    cover = () => Promise.reject(new Error("must not run"));
    await run();
    await ledger.remove(tenant, id);
    await run();
    expect(await ledger.find(tenant, id)).toBeUndefined();
  });

  it("reports progress at a steady pace, whatever nonsense comes", async () => {
    const seen: (number | undefined)[] = [];
    cover = async (task, { onProgress }) => {
      for (const progress of [0.2, 0.1, Number.NaN, 0.4, -1]) onProgress?.(progress, "loss");
      clock.advance(REPORT_PERIOD_MS);
      await ledger.check();
      seen.push((await ledger.find(tenant, id))?.progress);
      return writeSampleResult(task);
    };
    await run();
    expect(seen).toEqual([0.4]);
  });

  it.each([
    ["a string", "incorrect header check", "a non-error was thrown: incorrect header check"],
    ["undefined", undefined, "a non-error was thrown: undefined"],
    ["a plain error", new RangeError("offset 9 is outside"), "offset 9 is outside"],
  ])("records a reason when %s is thrown (F8)", async (_what, thrown, detail) => {
    cover = () => Promise.reject(thrown);
    await run();
    expect(await ledger.find(tenant, id)).toMatchObject({
      state: "failed",
      attempt: 1,
      error: { code: "internal_error", detail },
    });
    expect(attemptsLeft()).toEqual([]);
  });

  it.each([
    new InputError([{ pointer: "/sites/0/lat", detail: "is no number" }]),
    new InputError([{ pointer: "/scans", detail: "not supported yet" }], "not_supported"),
    new TerrainError("terrain_unreadable", "truncated"),
    new FellmarkError("mast_not_known", "no elevation at the mast"),
    new FellmarkError("timeout", "too slow"),
    new FellmarkError("memory", "too large"),
  ])("fails at once on $code", async (error) => {
    cover = () => Promise.reject(error);
    await run();
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", attempt: 1, error: { code: error.code } });
  });

  it.each([
    new FellmarkError("worker_killed", "the compute child ended (SIGKILL)"),
    new FellmarkError("source_changed", "the terrain is another one"),
    new TransientError("storage_failed", "the disk was full"),
  ])("asks for another attempt on $code, as often as is allowed (F2)", async (error) => {
    cover = () => Promise.reject(error);
    for (let attempt = 1; attempt < MAX_ATTEMPTS; attempt++) {
      await expect(run()).rejects.toBe(error);
      expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", attempt, error: null });
    }
    await run();
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", attempt: 3, error: { code: error.code } });
  });

  it("puts a job back uncounted, and begins none, while the disk is full (F18)", async () => {
    store = openFolderStore(join(folder.path, "results"));
    const hasRoom = vi.spyOn(store, "requireRoom");
    const full = new TransientError("storage_full", "the disk is full");
    hasRoom.mockRejectedValueOnce(full);
    await expect(run()).rejects.toBe(full);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", attempt: 0 });
    for (let round = 1; round <= MAX_ATTEMPTS + 1; round++) {
      hasRoom.mockResolvedValueOnce().mockRejectedValueOnce(full);
      cover = () => Promise.reject(new FellmarkError("storage_failed", "no space left"));
      await expect(run()).rejects.toMatchObject({ code: "storage_failed" });
      expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", attempt: round });
    }
    cover = writeSampleResult;
    await run();
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "done" });
  });

  it("keeps a result until the ledger takes it, however long the disk is full (F18)", async () => {
    const complete = vi.spyOn(ledger, "complete");
    const full = new TransientError("storage_failed", "database or disk is full");
    complete.mockRejectedValueOnce(full).mockRejectedValueOnce(full);
    const ended = run();
    while (complete.mock.calls.length < 3) {
      await new Promise(setImmediate);
      clock.advance(1_000);
    }
    await ended;
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "done", attempt: 1 });
  });

  it("keeps a result that the ledger took though its answer was lost", async () => {
    const take = ledger.complete.bind(ledger);
    const complete = vi.spyOn(ledger, "complete").mockImplementationOnce(async (attempt, files) => {
      await take(attempt, files);
      throw new TransientError("storage_failed", "the answer was lost");
    });
    const ended = run();
    while (complete.mock.calls.length < 2) {
      await new Promise(setImmediate);
      clock.advance(1_000);
    }
    await ended;
    const done = await ledger.find(tenant, id);
    expect(done).toMatchObject({ state: "done" });
    expect(attemptsLeft()).toEqual([done?.token]);
  });

  it("keeps a published result when what comes after it fails", async () => {
    store = openFolderStore(join(folder.path, "results"));
    vi.spyOn(store, "discardWork").mockRejectedValueOnce(new FellmarkError("storage_failed", "busy"));
    await run().catch(() => undefined);
    const done = await ledger.find(tenant, id);
    expect(done).toMatchObject({ state: "done" });
    expect(attemptsLeft()).toEqual([done?.token]);
  });

  it("gives up on a job whose worker died at each attempt (F4)", async () => {
    for (let attempt = 1; attempt <= MAX_ATTEMPTS; attempt++) await ledger.begin(tenant, id);
    cover = () => Promise.reject(new Error("must not run"));
    await run();
    const error = { code: "worker_killed", detail: "the worker died in each of 3 attempts" };
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", error });
  });

  it("stops the child when the job is cancelled, and leaves no file (F41)", async () => {
    const { ended } = await runUntilComputing();
    await ledger.requestCancel(tenant, id);
    clock.advance(REPORT_PERIOD_MS);
    await ended;
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "cancelled", files: null, error: null });
    expect(attemptsLeft()).toEqual([]);
  });

  it("stops the child when another attempt has begun, and leaves that one alone (F5)", async () => {
    const { ended } = await runUntilComputing();
    await ledger.begin(tenant, id);
    clock.advance(REPORT_PERIOD_MS);
    await ended;
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "running", attempt: 2 });
    expect(attemptsLeft()).toEqual([]);
  });

  it("hands over when the queue's signal aborts, without counting the attempt", async () => {
    const { ended } = await runUntilComputing();
    closing.abort(new TransientError("closing", "the worker is closing"));
    await expect(ended).rejects.toBeInstanceOf(FellmarkError);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", attempt: 1 });
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 1 });
    expect(attemptsLeft()).toEqual([]);
  });

  it.each(["before-publish", "after-publish"] as const)(
    "refuses the result of a stale attempt %s (F5)",
    async (point) => {
      let next: Promise<unknown> = Promise.resolve();
      reachFaultPoint = (reached) => {
        if (reached === point) next = ledger.begin(tenant, id);
      };
      await run();
      await next;
      expect(await ledger.find(tenant, id)).toMatchObject({ state: "running", attempt: 2, files: null });
      expect(attemptsLeft()).toEqual([]);
    },
  );

  it("publishes nothing for a start that was frozen while its job was removed and submitted again (F5)", async () => {
    let wake: () => void = () => {};
    const awake = new Promise<void>((resolve) => {
      wake = resolve;
    });
    let frozenAt: () => void = () => {};
    const frozen = new Promise<void>((resolve) => {
      frozenAt = resolve;
    });
    cover = async (task) => {
      frozenAt();
      await awake;
      return writeSampleResult(task);
    };
    const late = run();
    await frozen;
    await ledger.requestCancel(tenant, id);
    await ledger.begin(tenant, id);
    await ledger.remove(tenant, id);
    await store?.remove(tenant, id);
    await ledger.submit(job);

    let seen: string[] = [];
    cover = async (task) => {
      const files = await writeSampleResult(task);
      wake();
      await late;
      seen = readdirSync(task.outDir);
      return files;
    };
    await run();
    const done = await ledger.find(tenant, id);
    expect(done).toMatchObject({ state: "done", attempt: 1 });
    expect(seen.sort()).toEqual(["rasters", "summary.json"]);
    expect(attemptsLeft()).toEqual([done?.token]);
  });

  it("publishes nothing but what the computation reported", async () => {
    cover = async (task) => {
      const files = await writeSampleResult(task);
      writeFileSync(join(task.outDir, "rasters", "tier.tif"), "");
      return files;
    };
    await run();
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", error: { code: "bad_result" } });
    expect(attemptsLeft()).toEqual([]);
  });

  it("shows nothing of a result that a cancel overtook", async () => {
    let cancel: Promise<unknown> = Promise.resolve();
    reachFaultPoint = (reached) => {
      if (reached === "after-publish") cancel = ledger.requestCancel(tenant, id);
    };
    await run();
    await cancel;
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "cancelled", files: null });
    expect(attemptsLeft()).toEqual([]);
  });

  it("gives the same bytes whichever attempt publishes", async () => {
    cover = () => Promise.reject(new FellmarkError("worker_killed", "killed"));
    await expect(run()).rejects.toThrow("killed");
    cover = writeSampleResult;
    await run();
    const done = await ledger.find(tenant, id);
    const path = join(folder.path, "results", "published", tenant, id, done?.token ?? "", "summary.json");
    expect(readFileSync(path, "utf8")).toBe('{"version":1,"name":"a"}');
    expect(done).toMatchObject({ state: "done", attempt: 2 });
  });
});
