import { createHash } from "node:crypto";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { openStorage } from "@fellmark/jobs";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { runCaptured } from "../testing/run-captured.ts";

const folder = createTempDir();
afterAll(() => folder.remove());

const id = `j${"5".repeat(64)}`;
const job = {
  tenant: "default",
  id,
  kind: "coverage",
  request: "{}",
  modelVersion: "m1",
  terrainFingerprint: "t1",
} as const;
let published: string;

/** A data folder with one result. */
beforeAll(async () => {
  const { ledger, store, queue } = await openStorage({ dataDir: folder.path, onError: () => undefined });
  await ledger.submit(job);
  const attempt = await ledger.begin(job.tenant, id);
  if (!attempt) throw new Error("the job may not run");
  writeFileSync(join(await store.stage(attempt), "summary.json"), "{}");
  const reported = { name: "summary.json", bytes: 2, sha256: createHash("sha256").update("{}").digest("hex") };
  await ledger.complete(attempt, await store.publish(attempt, [reported]));
  const done = await ledger.find(job.tenant, id);
  if (!done) throw new Error("the job is gone");
  published = store.findPath(done, "summary.json");
  await queue.close(0);
  await ledger.close();
});

const check = (...words: string[]) => runCaptured(["ledger", "check", ".", ...words], { callerDir: folder.path });

describe("fellmark ledger check", () => {
  it("finds nothing in a sound folder", async () => {
    expect(await check()).toMatchObject({ code: 0, stdout: "1 results read, 0 findings\n" });
  });

  it("names a result without its file with exit code 1, mends it when told to, and is content then", async () => {
    rmSync(published);
    const found = await check();
    expect(found.code).toBe(1);
    expect(found.stdout).toMatch(new RegExp(`^result_damaged  ${id}  summary.json is missing.*  not mended$`, "m"));
    expect(found.stderr).toContain("1 findings are not mended");
    const mended = await check("--mend");
    expect(mended).toMatchObject({ code: 0, stdout: expect.stringMatching(/ {2}mended\n/) });
    expect(await check()).toMatchObject({ code: 0, stdout: "0 results read, 0 findings\n" });
  });

  it("refuses a folder that is not a data folder, and makes none", async () => {
    const run = await runCaptured(["ledger", "check", "nowhere"], { callerDir: folder.path });
    expect(run.code).not.toBe(0);
    expect(run.stderr).toContain("nowhere");
  });
});
