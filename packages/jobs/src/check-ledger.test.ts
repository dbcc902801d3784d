import { existsSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { checkLedger } from "./check-ledger.ts";
import { openStorage, type Storage } from "./storage.ts";
import { buildSampleJob } from "./testing/sample-job.ts";
import { writeReported } from "./testing/sample-result.ts";

const job = buildSampleJob("a");
const { tenant, id } = job;

let folder: TempDir;
let storage: Storage;
let published: string;

beforeEach(async () => {
  folder = createTempDir();
  storage = await openStorage({ dataDir: folder.path, onError: () => {} });
  await storage.ledger.submit(job);
  const attempt = await storage.ledger.begin(tenant, id);
  if (!attempt) throw new Error("it may not run");
  const reported = [writeReported(await storage.store.stage(attempt), "summary.json", "{}")];
  await storage.ledger.complete(attempt, await storage.store.publish(attempt, reported));
  published = join(folder.path, "results", "published", tenant, id, attempt.token);
});
afterEach(async () => {
  await storage.queue.close(0);
  await storage.ledger.close();
  folder.remove();
});

describe("check of the ledger", () => {
  it("finds nothing where ledger and folders agree", async () => {
    expect(await checkLedger(storage, { mend: true })).toEqual({ results: 1, findings: [] });
    expect(existsSync(join(published, "summary.json"))).toBe(true);
  });

  it.each<[string, RegExp, () => void]>([
    ["is missing", /summary.json is missing/, () => rmSync(join(published, "summary.json"))],
    ["is shorter", /summary.json has 1 bytes/, () => writeFileSync(join(published, "summary.json"), "{")],
    ["is another one", /summary.json is not the file/, () => writeFileSync(join(published, "summary.json"), "[]")],
    ["lay in a folder that is gone", /summary.json is missing/, () => rmSync(published, { recursive: true })],
  ])("finds a result whose file %s, and gives it up when told to mend, pinned or not", async (_what, detail, spoil) => {
    await storage.ledger.setPinned(tenant, id, true);
    spoil();
    const found = { code: "result_damaged", tenant, id, detail: expect.stringMatching(detail) };
    expect((await checkLedger(storage, { mend: false })).findings).toEqual([{ ...found, isMended: false }]);
    expect(await storage.ledger.find(tenant, id)).toMatchObject({ state: "done" });
    expect((await checkLedger(storage, { mend: true })).findings).toEqual([{ ...found, isMended: true }]);
    expect(await storage.ledger.find(tenant, id)).toMatchObject({ state: "expired", error: { code: "expired" } });
    expect(existsSync(published)).toBe(false);
    expect((await checkLedger(storage, { mend: false })).findings).toEqual([]);
  });

  it("finds folders that belong to no job, and removes them when told to mend", async () => {
    const other = buildSampleJob("b");
    const staged = await storage.store.stage({ tenant, id: other.id, token: "1".repeat(32) });
    const work = storage.store.workFolder(tenant, other.id);
    mkdirSync(work, { recursive: true });
    const codes = async (mend: boolean) =>
      (await checkLedger(storage, { mend })).findings.map(({ code, isMended }) => [code, isMended]);
    expect(await codes(false)).toEqual([
      ["folder_left", false],
      ["work_left", false],
    ]);
    expect([existsSync(staged), existsSync(work)]).toEqual([true, true]);
    expect(await codes(true)).toEqual([
      ["folder_left", true],
      ["work_left", true],
    ]);
    expect([existsSync(staged), existsSync(work)]).toEqual([false, false]);
  });
});
