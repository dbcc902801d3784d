import { join } from "node:path";
import { computeJobId } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { AttemptKey, JobRecord, JobState, NewJob, WorkerLedger } from "./job-record.ts";
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
  return { tenant, id: computeJobId({ tenant, canonicalRequest: job.request, ...job }), ...job };
}

const files = [{ name: "summary.json", bytes: 2, sha256: "44136fa3" }];
const error = { code: "timeout", detail: "took too long", problems: [{ pointer: "/area", detail: "large", limit: 3 }] };

describe.each(implementations)("ledger on $name", ({ open }) => {
  let folder: TempDir;
  let ledger: WorkerLedger;
  const { tenant, id } = newJob("a");
  const state = async () => (await ledger.find(tenant, id))?.state;

  beforeEach(async () => {
    folder = createTempDir();
    ledger = await open(folder.path);
  });
  afterEach(async () => {
    await ledger.close();
    folder.remove();
  });

  /** Starts job "a", submitted before or not. */
  async function begin(): Promise<AttemptKey> {
    await ledger.submit(newJob("a"));
    const job = await ledger.begin(tenant, id);
    if (!job) throw new Error("the job may not run");
    return { tenant, id, token: job.token };
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
    expect(await ledger.listUnfinished()).toHaveLength(1);
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

  it("refuses tenants and ids that are not a safe key", async () => {
    for (const bad of ["", "A", "a/b", "..", "a:b", "a".repeat(64)])
      await expect(ledger.submit({ ...newJob("a"), tenant: bad })).rejects.toMatchObject({ code: "invalid_input" });
    for (const bad of ["", "j12", `${id}0`, `../${id}`])
      await expect(ledger.submit({ ...newJob("a"), id: bad })).rejects.toMatchObject({ code: "invalid_input" });
  });

  it("lists unfinished jobs, the oldest first", async () => {
    for (const seed of ["a", "b", "c", "d"]) await ledger.submit(newJob(seed));
    await ledger.begin(tenant, newJob("b").id);
    await ledger.requestCancel(tenant, newJob("c").id);
    expect((await ledger.listUnfinished()).map((job) => job.id)).toEqual(
      ["a", "b", "d"].map((seed) => newJob(seed).id),
    );
  });

  it("counts attempts from 1 and clears progress at each", async () => {
    const first = await begin();
    expect(await ledger.find(tenant, id)).toMatchObject({ attempt: 1, token: first.token });
    await ledger.reportProgress(first, 0.5);
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 2, progress: 0, state: "running" });
  });

  it("lets progress rise only", async () => {
    const attempt = await begin();
    for (const progress of [0.3, 0.1, 7]) expect(await ledger.reportProgress(attempt, progress)).toBe("go-on");
    expect((await ledger.find(tenant, id))?.progress).toBe(1);
    const second = await begin();
    await ledger.reportProgress(second, 0.3);
    await ledger.reportProgress(second, 0.1);
    expect((await ledger.find(tenant, id))?.progress).toBe(0.3);
  });

  it("shuts a stale attempt out of everything", async () => {
    const stale = await begin();
    await ledger.begin(tenant, id);
    expect(await ledger.reportProgress(stale, 0.9)).toBe("lost");
    expect(await ledger.complete(stale, files)).toBe(false);
    expect(await ledger.fail(stale, error, false)).toBe(false);
    expect(await ledger.handOver(stale)).toBe(false);
    expect(await ledger.confirmCancelled(stale)).toBe(false);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "running", attempt: 2, progress: 0, files: null });
  });

  it("completes with the list of files", async () => {
    const attempt = await begin();
    expect(await ledger.complete(attempt, files)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "done", progress: 1, files, error: null });
    expect(await ledger.begin(tenant, id)).toBeUndefined();
    expect(await ledger.complete(attempt, files)).toBe(false);
  });

  it("fails with the error, or queues again without it", async () => {
    const attempt = await begin();
    expect(await ledger.fail(attempt, error, true)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "queued", error: null });
    expect(await ledger.fail(await begin(), error, false)).toBe(true);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "failed", error });
  });

  it("does not count an attempt that was handed over", async () => {
    expect(await ledger.handOver(await begin())).toBe(true);
    expect(await state()).toBe("queued");
    expect(await ledger.begin(tenant, id)).toMatchObject({ attempt: 2, tries: 1 });
  });

  it("retries what ended without a result, with the count of tries afresh", async () => {
    await ledger.fail(await begin(), error, false);
    expect(await ledger.retry(tenant, id)).toMatchObject({ state: "queued", progress: 0, error: null, attempt: 1 });
    const again = await ledger.begin(tenant, id);
    expect(again).toMatchObject({ attempt: 2, tries: 1 });
    await ledger.complete({ tenant, id, token: again?.token ?? "" }, files);
    expect(await ledger.retry(tenant, id)).toMatchObject({ state: "done", files });
    expect(await ledger.retry(tenant, newJob("b").id)).toBeUndefined();
  });

  it("cancels at once what is queued, and through its worker what runs", async () => {
    await ledger.submit(newJob("a"));
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "cancelled" });
    expect(await ledger.begin(tenant, id)).toBeUndefined();
    await ledger.retry(tenant, id);
    const attempt = await begin();
    expect(await ledger.confirmCancelled(attempt)).toBe(false);
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "running", cancelRequested: true });
    expect(await ledger.reportProgress(attempt, 0.5)).toBe("cancel");
    expect(await ledger.confirmCancelled(attempt)).toBe(true);
    expect(await ledger.requestCancel(tenant, id)).toMatchObject({ state: "cancelled" });
    expect(await ledger.requestCancel(tenant, newJob("b").id)).toBeUndefined();
  });

  it.each<[string, (attempt: AttemptKey) => Promise<unknown>]>([
    ["completes", (attempt) => ledger.complete(attempt, files)],
    ["fails", (attempt) => ledger.fail(attempt, error, false)],
    ["is to be tried again", (attempt) => ledger.fail(attempt, error, true)],
    ["is handed over", (attempt) => ledger.handOver(attempt)],
    ["is begun by the next worker", () => ledger.begin(tenant, id)],
  ])("holds an accepted cancel when the job %s", async (_what, act) => {
    const attempt = await begin();
    await ledger.requestCancel(tenant, id);
    await act(attempt);
    expect(await ledger.find(tenant, id)).toMatchObject({ state: "cancelled", error: null, files: null });
  });

  it("removes what has ended, and nothing else", async () => {
    const attempt = await begin();
    expect(await ledger.remove(tenant, id)).toBe(false);
    await ledger.complete(attempt, files);
    expect(await ledger.remove(tenant, id)).toBe(true);
    expect(await ledger.remove(tenant, id)).toBe(false);
    expect(await ledger.submit(newJob("a"))).toMatchObject({ created: true, job: { attempt: 0 } });
  });

  it("gives no start of a job the token of another, also after it was removed and submitted again", async () => {
    const before = await begin();
    await ledger.requestCancel(tenant, id);
    await ledger.confirmCancelled(before);
    await ledger.remove(tenant, id);
    const after = await begin();
    expect(await ledger.find(tenant, id)).toMatchObject({ attempt: 1, state: "running" });
    expect(after.token).not.toBe(before.token);
    expect(await ledger.reportProgress(before, 1)).toBe("lost");
    expect(await ledger.complete(before, files)).toBe(false);
    expect(await ledger.complete(after, files)).toBe(true);
  });

  it("accepts no more jobs of a tenant than its limit, however many come at once, also to be retried", async () => {
    const other = await open(folder.path);
    const limit = { maxUnfinished: 3 };
    const submissions = Array.from({ length: 40 }, (_, index) =>
      (index % 2 ? ledger : other).submit(newJob(`${index}`), limit).then(
        ({ job }) => job,
        (refusal: unknown) => refusal,
      ),
    );
    const outcomes = await Promise.all(submissions);
    expect(await ledger.countUnfinished(tenant)).toBe(3);
    const refusals = outcomes.filter((outcome) => outcome instanceof Error);
    expect(refusals).toHaveLength(37);
    for (const refusal of refusals) expect(refusal).toMatchObject({ code: "too_many_jobs" });
    const [accepted] = await ledger.listUnfinished();
    await ledger.requestCancel(tenant, accepted.id);
    await ledger.submit(newJob("one more"));
    await expect(ledger.retry(tenant, accepted.id, limit)).rejects.toMatchObject({ code: "too_many_jobs" });
    await ledger.submit({ ...newJob("a"), tenant: "other" }, limit);
    await other.close();
  });

  it("accepts no more work of a tenant than its limit in seconds, but always one job", async () => {
    const limit = { maxUnfinished: 100, maxUnfinishedS: 1000 };
    const submit = (name: string, costS: number) => ledger.submit({ ...newJob(name), costS }, limit);
    const large = (await submit("large", 5000)).job;
    expect(large).toMatchObject({ state: "queued", costS: 5000 });
    await expect(submit("small", 1)).rejects.toMatchObject({
      code: "too_many_jobs",
      message: expect.stringContaining("1000 s of one core"),
    });
    await ledger.requestCancel(tenant, large.id);
    for (const name of ["a", "b"]) await submit(name, 400);
    await expect(submit("c", 201)).rejects.toMatchObject({ code: "too_many_jobs" });
    await submit("d", 200);
    await expect(ledger.retry(tenant, large.id, limit)).rejects.toMatchObject({ code: "too_many_jobs" });
    expect(await ledger.countUnfinished(tenant)).toBe(3);
  });

  it("keeps the name of a job, and its pin", async () => {
    expect((await ledger.submit({ ...newJob("a"), name: "north ridge" })).job).toMatchObject({ name: "north ridge" });
    expect(await ledger.setPinned(tenant, id, true)).toMatchObject({ pinned: true, state: "queued" });
    expect(await ledger.setPinned(tenant, id, false)).toMatchObject({ pinned: false });
    expect(await ledger.setPinned(tenant, newJob("b").id, true)).toBeUndefined();
  });

  it("lists the jobs of a tenant newest first, page by page, by kind, state and date", async () => {
    const ids: string[] = [];
    for (let index = 0; index < 7; index++) ids.push((await ledger.submit(newJob(`${index}`))).job.id);
    await ledger.submit({ ...newJob("advice"), kind: "advice" });
    await ledger.submit(newJob("0", "other"));
    await ledger.requestCancel(tenant, ids[2]);
    const query = { tenant, kind: "coverage" as const, limit: 3 };
    const listed: JobRecord[] = [];
    let after: string | undefined;
    do {
      const page = await ledger.listJobs({ ...query, ...(after && { after }) });
      expect(page.jobs.length).toBeLessThanOrEqual(3);
      listed.push(...page.jobs);
      after = page.next ?? undefined;
    } while (after);
    expect(listed.map((job) => job.id).sort()).toEqual([...ids].sort());
    const times = listed.map(({ createdAtMs }) => createdAtMs);
    expect(times).toEqual(times.toSorted((a, b) => b - a));
    expect((await ledger.listJobs({ ...query, states: ["cancelled"] })).jobs).toMatchObject([{ id: ids[2] }]);
    const { createdAtMs } = listed[0];
    expect((await ledger.listJobs({ ...query, createdFromMs: createdAtMs + 1 })).jobs).toEqual([]);
    expect((await ledger.listJobs({ tenant, limit: 100, createdBeforeMs: createdAtMs + 10_000 })).jobs).toHaveLength(8);
    await expect(ledger.listJobs({ ...query, after: "1'; --" })).rejects.toMatchObject({
      problems: [{ pointer: "/after" }],
    });
  });

  it("expires a result unless it is pinned, and tells the reason; a retry computes it again", async () => {
    await ledger.complete(await begin(), files);
    await ledger.setPinned(tenant, id, true);
    expect(await ledger.expire(tenant, id, "removed after 365 days")).toBeUndefined();
    expect(await ledger.listResults()).toMatchObject([{ tenant, id, kind: "coverage", bytes: 2, pinned: true }]);
    await ledger.setPinned(tenant, id, false);
    const detail = "removed after 365 days";
    const told = { state: "expired", files: null, error: { code: "expired", detail } };
    expect(await ledger.expire(tenant, id, detail)).toMatchObject(told);
    expect(await ledger.find(tenant, id)).toMatchObject(told);
    expect(await ledger.listResults()).toEqual([]);
    expect(await ledger.listEndedBefore(Date.now() + 1)).toEqual([{ tenant, id }]);
    expect(await ledger.listEndedBefore(0)).toEqual([]);
    expect(await ledger.retry(tenant, id)).toMatchObject({ state: "queued", error: null });
  });

  it("keeps its rows over a restart, and closes twice", async () => {
    await ledger.complete(await begin(), files);
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
        const tokens: string[] = [];
        for (const [name, number] of steps) {
          await operations[name](ledger, { tenant, id, token: tokens[number] ?? "never given" });
          const after = await ledger.find(tenant, id);
          if (after?.token && !tokens.includes(after.token)) tokens.push(after.token);
          if (after === undefined) {
            expect(isEnded(before), `${name} from ${before?.state}`).toBe(true);
            return;
          }
          expect(edges[before?.state ?? "queued"], `${name} from ${before?.state}`).toContain(after.state);
          expect(after.attempt).toBeGreaterThanOrEqual(before?.attempt ?? 0);
          if (after.attempt === before?.attempt && after.state === "running")
            expect(after.progress).toBeGreaterThanOrEqual(before.progress);
          expect(after.files !== null).toBe(after.state === "done");
          expect(after.error !== null).toBe(after.state === "failed" || after.state === "expired");
          before = after;
        }
        await drive(ledger, id);
        expect(isEnded(await ledger.find(tenant, id))).toBe(true);
      }),
      { numRuns: 60, seed: 20261125 },
    );
  });

  const operations: Record<string, (ledger: WorkerLedger, attempt: AttemptKey) => Promise<unknown>> = {
    begin: (ledger, { id }) => ledger.begin(tenant, id),
    report: (ledger, attempt) => ledger.reportProgress(attempt, 0.3),
    complete: (ledger, attempt) => ledger.complete(attempt, files),
    fail: (ledger, attempt) => ledger.fail(attempt, error, false),
    failAndRetry: (ledger, attempt) => ledger.fail(attempt, error, true),
    handOver: (ledger, attempt) => ledger.handOver(attempt),
    confirmCancelled: (ledger, attempt) => ledger.confirmCancelled(attempt),
    requestCancel: (ledger, { id }) => ledger.requestCancel(tenant, id),
    expire: (ledger, { id }) => ledger.expire(tenant, id, "removed after 365 days"),
    retry: (ledger, { id }) => ledger.retry(tenant, id),
    remove: (ledger, { id }) => ledger.remove(tenant, id),
  };

  /** What a healthy worker does with whatever state it finds. */
  async function drive(ledger: WorkerLedger, id: string): Promise<void> {
    const job = await ledger.begin(tenant, id);
    if (job) await ledger.complete(job, files);
  }
});

const edges: Record<JobState, JobState[]> = {
  queued: ["queued", "running", "cancelled"],
  running: ["running", "queued", "done", "failed", "cancelled"],
  done: ["done", "expired"],
  failed: ["failed", "queued"],
  cancelled: ["cancelled", "queued"],
  expired: ["expired", "queued"],
};

function isEnded(job: JobRecord | undefined): boolean {
  return job !== undefined && job.state !== "queued" && job.state !== "running";
}
