import { join } from "node:path";
import { jobIdOf } from "@fellmark/network";
import { type TempDir, tempDir } from "@fellmark/testkit";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { JobRecord, JobState, NewJob, WorkerLedger } from "./job-record.ts";
import { openSqliteLedger } from "./sqlite-ledger.ts";

/** Every implementation must pass the whole suite. `open` may be called twice on one folder: two processes do so. */
const implementations: { name: string; open: (folder: string) => Promise<WorkerLedger> }[] = [
  { name: "SQLite", open: (folder) => openSqliteLedger(join(folder, "data", "ledger.sqlite")) },
];

function newJob(seed: string, tenant = "default"): NewJob {
  const job = {
    kind: "coverage" as const,
    request: `{"name":"${seed}"}`,
    modelVersion: "m1",
    terrainFingerprint: "t1",
  };
  return { tenant, id: jobIdOf({ tenant, canonicalRequest: job.request, ...job }), ...job };
}

const files = [{ name: "summary.json", bytes: 2, sha256: "44136fa3" }];
const error = { code: "timeout", detail: "took too long", problems: [{ pointer: "/area", detail: "large", limit: 3 }] };

describe.each(implementations)("ledger on $name", ({ open }) => {
  let folder: TempDir;
  let ledger: WorkerLedger;
  const { tenant, id } = newJob("a");
  const state = async () => (await ledger.find(tenant, id))?.state;

  beforeEach(async () => {
    folder = tempDir();
    ledger = await open(folder.path);
  });
  afterEach(async () => {
    await ledger.close();
    folder.remove();
  });

  async function begun(): Promise<number> {
    await ledger.submit(newJob("a"));
    return (await ledger.begin(tenant, id))?.attempt ?? Number.NaN;
  }

  it("stores a new job as queued and gives it back whole", async () => {
    const { job, created } = await ledger.submit(newJob("a"));
    expect(created).toBe(true);
    const { request, ...given } = newJob("a");
    expect(job).toMatchObject({ ...given, state: "queued", progress: 0, attempt: 0, error: null, files: null });
    expect(await ledger.find(tenant, id)).toEqual(job);
    expect(await ledger.find(tenant, newJob("b").id)).toBeUndefined();
    expect(await ledger.begin(tenant, id)).toMatchObject({ request });
  });

  it("makes one row of 100 submissions at once (F14)", async () => {
    const other = await open(folder.path);
    const results = await Promise.all(
      Array.from({ length: 100 }, (_, index) => (index % 2 ? ledger : other).submit(newJob("a"))),
    );
    expect(results.filter(({ created }) => created)).toHaveLength(1);
    expect(new Set(results.map(({ job }) => job.id))).toEqual(new Set([id]));
    expect(await ledger.unfinished()).toHaveLength(1);
    await other.close();
  });

  it("keeps tenants apart", async () => {
    await ledger.submit(newJob("a"));
    await ledger.submit({ ...newJob("a"), tenant: "other" });
    await ledger.requestCancel("other", id);
    expect(await state()).toBe("queued");
    expect(await ledger.find("third", id)).toBeUndefined();
    expect(await ledger.countUnfinished(tenant)).toBe(1);
    expect(await ledger.countUnfinished("other")).toBe(0);
    expect(await ledger.remove(tenant, id)).toBe(false);
  });

  it("refuses tenants and ids that are no safe key", async () => {
    for (const bad of ["", "A", "a/b", "..", "a:b", "a".repeat(64)])
      await expect(ledger.submit({ ...newJob("a"), tenant: bad })).rejects.toMatchObject({ code: "invalid_input" });
    for (const bad of ["", "j12", `${id}0`, `../${id}`])
      await expect(ledger.submit({ ...newJob("a"), id: bad })).rejects.toMatchObject({ code: "invalid_input" });
  });

  it("lists unfinished jobs, the oldest first", async () => {
    for (const seed of ["a", "b", "c", "d"]) await ledger.submit(newJob(seed));
    await ledger.begin(tenant, newJob("b").id);
    await ledger.requestCancel(tenant, newJob("c").id);
    expect((await ledger.unfinished()).map((job) => job.id)).toEqual(["a", "b", "d"].map((seed) => newJob(seed).id));
  });

  it("counts attempts from 1 and clears progress at each", async () => {
    const attempt = await begun();
    expect(attempt).toBe(1);
    await ledger.reportProgress(tenant, id, attempt, 0.5);
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 2, progress: 0, state: "running" });
  });

  it("lets progress rise only", async () => {
    const attempt = await begun();
    for (const progress of [0.3, 0.1, 7])
      expect(await ledger.reportProgress(tenant, id, attempt, progress)).toBe("go-on");
    expect((await ledger.find(tenant, id))?.progress).toBe(1);
    await ledger.begin(tenant, id);
    await ledger.reportProgress(tenant, id, 2, 0.3);
    await ledger.reportProgress(tenant, id, 2, 0.1);
    expect((await ledger.find(tenant, id))?.progress).toBe(0.3);
  });

  it("shuts a stale attempt out of everything", async () => {
    const stale = await begun();
    await ledger.begin(tenant, id);
    expect(await ledger.reportProgress(tenant, id, stale, 0.9)).toBe("lost");
    expect(await ledger.complete(tenant, id, stale, files)).toBe(false);
    expect(await ledger.fail(tenant, id, stale, error, false)).toBe(false);
    expect(await ledger.handOver(tenant, id, stale)).toBe(false);
    expect(await ledger.confirmCancelled(tenant, id, stale)).toBe(false);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "running", attempt: 2, progress: 0, files: null });
  });

  it("completes with the list of files", async () => {
    expect(await ledger.complete(tenant, id, await begun(), files)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "done", progress: 1, files, error: null });
    expect(await ledger.begin(tenant, id)).toBeUndefined();
    expect(await ledger.complete(tenant, id, 1, files)).toBe(false);
  });

  it("fails with the error, or queues again without it", async () => {
    const attempt = await begun();
    expect(await ledger.fail(tenant, id, attempt, error, true)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", error: null });
    await ledger.begin(tenant, id);
    expect(await ledger.fail(tenant, id, attempt + 1, error, false)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", error });
  });

  it("does not count an attempt that was handed over", async () => {
    expect(await ledger.handOver(tenant, id, await begun())).toBe(true);
    expect(await state()).toBe("queued");
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 1 });
  });

  it("retries what ended without a result, with the count of tries afresh", async () => {
    await ledger.fail(tenant, id, await begun(), error, false);
    expect(await ledger.retry(tenant, id)).toMatchObject({ state: "queued", progress: 0, error: null, attempt: 1 });
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 1 });
    await ledger.complete(tenant, id, 2, files);
    expect(await ledger.retry(tenant, id)).toMatchObject({ state: "done", files });
    expect(await ledger.retry(tenant, newJob("b").id)).toBeUndefined();
  });

  it("cancels at once what is queued, and through its worker what runs", async () => {
    await ledger.submit(newJob("a"));
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "cancelled" });
    expect(await ledger.begin(tenant, id)).toBeUndefined();
    await ledger.retry(tenant, id);
    await ledger.begin(tenant, id);
    expect(await ledger.confirmCancelled(tenant, id, 1)).toBe(false);
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "running", cancelRequested: true });
    expect(await ledger.reportProgress(tenant, id, 1, 0.5)).toBe("cancel");
    expect(await ledger.confirmCancelled(tenant, id, 1)).toBe(true);
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "cancelled" });
    expect(await ledger.requestCancel(tenant, newJob("b").id)).toBeUndefined();
  });

  it.each<[string, (attempt: number) => Promise<unknown>]>([
    ["completes", (attempt) => ledger.complete(tenant, id, attempt, files)],
    ["fails", (attempt) => ledger.fail(tenant, id, attempt, error, false)],
    ["is to be tried again", (attempt) => ledger.fail(tenant, id, attempt, error, true)],
    ["is handed over", (attempt) => ledger.handOver(tenant, id, attempt)],
    ["is begun by the next worker", () => ledger.begin(tenant, id)],
  ])("holds an accepted cancel when the job %s", async (_what, act) => {
    const attempt = await begun();
    await ledger.requestCancel(tenant, id);
    await act(attempt);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "cancelled", error: null, files: null });
  });

  it("removes what has ended, and nothing else", async () => {
    const attempt = await begun();
    expect(await ledger.remove(tenant, id)).toBe(false);
    await ledger.complete(tenant, id, attempt, files);
    expect(await ledger.remove(tenant, id)).toBe(true);
    expect(await ledger.remove(tenant, id)).toBe(false);
    expect(await ledger.submit(newJob("a"))).toMatchObject({ created: true, job: { attempt: 0 } });
  });

  it("keeps its rows over a restart, and closes twice", async () => {
    await ledger.complete(tenant, id, await begun(), files);
    await ledger.check();
    await ledger.close();
    await ledger.close();
    ledger = await open(folder.path);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "done", files });
  });

  it("moves along the allowed edges only, and lets each accepted job end once, whatever is called", async () => {
    const operation = fc.tuple(fc.constantFrom(...Object.keys(operations)), fc.nat(3));
    await fc.assert(
      fc.asyncProperty(fc.uuid(), fc.array(operation, { maxLength: 25 }), async (seed, steps) => {
        const { id } = (await ledger.submit(newJob(seed))).job;
        let before = await ledger.find(tenant, id);
        for (const [name, attempt] of steps) {
          await operations[name](ledger, id, attempt);
          const after = await ledger.find(tenant, id);
          if (after === undefined) {
            expect(isEnded(before), `${name} from ${before?.state}`).toBe(true);
            return;
          }
          expect(edges[before?.state ?? "queued"], `${name} from ${before?.state}`).toContain(after.state);
          expect(after.attempt).toBeGreaterThanOrEqual(before?.attempt ?? 0);
          if (after.attempt === before?.attempt && after.state === "running")
            expect(after.progress).toBeGreaterThanOrEqual(before.progress);
          expect(after.files !== null).toBe(after.state === "done");
          expect(after.error !== null).toBe(after.state === "failed");
          before = after;
        }
        await drive(ledger, id);
        expect(isEnded(await ledger.find(tenant, id))).toBe(true);
      }),
      { numRuns: 60, seed: 20261125 },
    );
  });

  const operations: Record<string, (ledger: WorkerLedger, id: string, attempt: number) => Promise<unknown>> = {
    begin: (ledger, id) => ledger.begin(tenant, id),
    report: (ledger, id, attempt) => ledger.reportProgress(tenant, id, attempt, attempt / 3),
    complete: (ledger, id, attempt) => ledger.complete(tenant, id, attempt, files),
    fail: (ledger, id, attempt) => ledger.fail(tenant, id, attempt, error, false),
    failAndRetry: (ledger, id, attempt) => ledger.fail(tenant, id, attempt, error, true),
    handOver: (ledger, id, attempt) => ledger.handOver(tenant, id, attempt),
    confirmCancelled: (ledger, id, attempt) => ledger.confirmCancelled(tenant, id, attempt),
    requestCancel: (ledger, id) => ledger.requestCancel(tenant, id),
    retry: (ledger, id) => ledger.retry(tenant, id),
    remove: (ledger, id) => ledger.remove(tenant, id),
  };

  /** What a healthy worker does with whatever state it finds. */
  async function drive(ledger: WorkerLedger, id: string): Promise<void> {
    const job = await ledger.begin(tenant, id);
    if (job) await ledger.complete(tenant, id, job.attempt, files);
  }
});

const edges: Record<JobState, JobState[]> = {
  queued: ["queued", "running", "cancelled"],
  running: ["running", "queued", "done", "failed", "cancelled"],
  done: ["done"],
  failed: ["failed", "queued"],
  cancelled: ["cancelled", "queued"],
  expired: ["expired", "queued"],
};

function isEnded(job: JobRecord | undefined): boolean {
  return job !== undefined && job.state !== "queued" && job.state !== "running";
}
