import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { jobIdOf } from "@fellmark/network";
import { type TempDir, tempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openFolderStore } from "./folder-store.ts";
import type { JobRecord, ResultFile, WorkerStore } from "./job-record.ts";

/** Every implementation must pass the whole suite. */
const implementations: { name: string; open: (folder: string) => WorkerStore }[] = [
  { name: "a folder", open: (folder) => openFolderStore(join(folder, "results")) },
];

const tenant = "default";
const id = jobIdOf({ tenant, canonicalRequest: "{}", modelVersion: "m1", terrainFingerprint: "t1" });

function doneJob(files: ResultFile[] | null, attempt = 1): JobRecord {
  const given = { tenant, id, kind: "coverage" as const, modelVersion: "m1", terrainFingerprint: "t1" };
  const times = { createdAtMs: 0, updatedAtMs: 0 };
  return { ...given, ...times, state: "done", progress: 1, attempt, cancelRequested: false, error: null, files };
}

describe.each(implementations)("result store in $name", ({ open }) => {
  let folder: TempDir;
  let store: WorkerStore;

  beforeEach(() => {
    folder = tempDir();
    store = open(folder.path);
  });
  afterEach(() => folder.remove());

  async function stageResult(attempt: number, summary: string): Promise<string> {
    const staged = await store.stage(tenant, id, attempt);
    mkdirSync(join(staged, "rasters"));
    writeFileSync(join(staged, "summary.json"), summary);
    writeFileSync(join(staged, "rasters", "loss.tif"), "raster");
    return staged;
  }

  it("publishes what was staged, with sizes and hashes, in an order of its own", async () => {
    const staged = await stageResult(1, "{}");
    const files = await store.publish(tenant, id, 1);
    // SHA-256 of "{}" by sha256sum of GNU coreutils.
    const sha256 = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a";
    expect(files.map(({ name }) => name)).toEqual(["rasters/loss.tif", "summary.json"]);
    expect(files[1]).toEqual({ name: "summary.json", bytes: 2, sha256 });
    expect(existsSync(staged)).toBe(false);
    const raster = readFileSync(store.pathOf(doneJob(files), "rasters/loss.tif"));
    expect(createHash("sha256").update(raster).digest("hex")).toBe(files[0].sha256);
  });

  it("stages an empty folder each time", async () => {
    await stageResult(1, "{}");
    const again = await store.stage(tenant, id, 1);
    expect(existsSync(join(again, "summary.json"))).toBe(false);
  });

  it("keeps attempts apart: who loses the fence disturbs nobody", async () => {
    await stageResult(1, "late");
    await stageResult(2, "right");
    const files = await store.publish(tenant, id, 2);
    await store.publish(tenant, id, 1);
    expect(readFileSync(store.pathOf(doneJob(files, 2), "summary.json"), "utf8")).toBe("right");
    await store.discard(tenant, id, 1);
    expect(readFileSync(store.pathOf(doneJob(files, 2), "summary.json"), "utf8")).toBe("right");
  });

  it("publishes the same attempt twice over", async () => {
    for (const summary of ["first", "second"]) {
      await stageResult(1, summary);
      const files = await store.publish(tenant, id, 1);
      expect(readFileSync(store.pathOf(doneJob(files), "summary.json"), "utf8")).toBe(summary);
    }
  });

  it("finds only names on the list, and never leaves the result", async () => {
    await stageResult(1, "{}");
    const files = await store.publish(tenant, id, 1);
    const names = [
      "",
      ".",
      "..",
      "../1/summary.json",
      "/etc/passwd",
      "summary.json\0",
      "..%2f",
      "rasters",
      "nothing.tif",
    ];
    for (const name of names)
      expect(() => store.pathOf(doneJob(files), name)).toThrow(expect.objectContaining({ code: "not_found" }));
    const forged = { name: "../../../../../etc/passwd", bytes: 1, sha256: "0" };
    expect(() => store.pathOf(doneJob([forged]), forged.name)).toThrow(expect.objectContaining({ code: "not_found" }));
    expect(() => store.pathOf(doneJob(null), "summary.json")).toThrow(expect.objectContaining({ code: "not_found" }));
  });

  it("refuses keys that are no safe folder name", async () => {
    for (const bad of ["..", "a/b", "A", ""]) await expect(store.stage(bad, id, 1)).rejects.toThrow(/tenant/);
    for (const bad of ["..", "j1", `${id}/x`]) await expect(store.remove(tenant, bad)).rejects.toThrow(/job id/);
    for (const bad of [0, -1, 1.5, Number.NaN]) await expect(store.stage(tenant, id, bad)).rejects.toThrow(RangeError);
  });

  it("refuses to publish a link", async () => {
    const staged = await stageResult(1, "{}");
    symlinkSync("/etc/passwd", join(staged, "rasters", "link.tif"));
    await expect(store.publish(tenant, id, 1)).rejects.toMatchObject({ code: "bad_result" });
  });

  it("keeps work over attempts and sweeps until the job is done, or is removed", async () => {
    for (const end of [() => store.discardWork(tenant, id), () => store.remove(tenant, id)]) {
      const work = store.workFolder(tenant, id);
      mkdirSync(work, { recursive: true });
      await stageResult(1, "{}");
      await store.discard(tenant, id, 1);
      await store.sweep(async () => false);
      expect(existsSync(work)).toBe(true);
      await end();
      expect(existsSync(work)).toBe(false);
    }
    expect(() => store.workFolder(tenant, "..")).toThrow(/job id/);
  });

  it("removes everything of a job", async () => {
    await stageResult(1, "{}");
    const files = await store.publish(tenant, id, 1);
    const staged = await stageResult(2, "{}");
    await store.remove(tenant, id);
    expect(existsSync(staged)).toBe(false);
    expect(existsSync(store.pathOf(doneJob(files), "summary.json"))).toBe(false);
    await store.remove(tenant, id);
  });

  it("sweeps what is not current, staged or published", async () => {
    expect(await store.sweep(async () => false)).toBe(0);
    for (const attempt of [1, 2]) {
      await stageResult(attempt, "{}");
      await store.publish(tenant, id, attempt);
    }
    const [left, current] = [await stageResult(3, "{}"), await stageResult(4, "{}")];
    expect(await store.sweep(async (_tenant, _id, attempt) => attempt === 2 || attempt === 4)).toBe(2);
    expect([existsSync(left), existsSync(current)]).toEqual([false, true]);
    const list = [{ name: "summary.json", bytes: 2, sha256: "" }];
    expect(existsSync(store.pathOf(doneJob(list, 1), "summary.json"))).toBe(false);
    expect(existsSync(store.pathOf(doneJob(list, 2), "summary.json"))).toBe(true);
  });
});
