import { createHash } from "node:crypto";
import {
  existsSync,
  mkdirSync,
  readFileSync,
  renameSync,
  rmdirSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { computeJobId } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openFolderStore } from "./folder-store.ts";
import type { AttemptKey, JobRecord, WorkerStore } from "./job-record.ts";
import type { ResultFile } from "./result-file.ts";

/** Every implementation must pass the whole suite. */
const implementations: { name: string; open: (folder: string) => WorkerStore }[] = [
  { name: "a folder", open: (folder) => openFolderStore(join(folder, "results")) },
];

const tenant = "default";
const id = computeJobId({ tenant, canonicalRequest: "{}", modelVersion: "m1", terrainFingerprint: "t1" });

/** The attempt of that number, under a token of its own. */
function attemptKey(number: number): AttemptKey {
  return { tenant, id, token: String(number).repeat(32) };
}

function doneJob(files: ResultFile[] | null, attempt = 1): JobRecord {
  const given = { kind: "coverage" as const, name: "", costS: 0, modelVersion: "m1", terrainFingerprint: "t1" };
  const times = { createdAtMs: 0, updatedAtMs: 0 };
  const flags = { cancelRequested: false, pinned: false, error: null };
  return { ...attemptKey(attempt), ...given, ...times, ...flags, state: "done", progress: 1, attempt, files };
}

function hashOf(text: string): string {
  return createHash("sha256").update(text).digest("hex");
}

/** What a computation reports that wrote what `stageResult` writes. */
function reportOf(summary: string): ResultFile[] {
  return [
    { name: "summary.json", bytes: summary.length, sha256: hashOf(summary) },
    { name: "rasters/loss.tif", bytes: 6, sha256: hashOf("raster") },
  ];
}

describe.each(implementations)("result store in $name", ({ open }) => {
  let folder: TempDir;
  let store: WorkerStore;

  beforeEach(() => {
    folder = createTempDir();
    store = open(folder.path);
  });
  afterEach(() => folder.remove());

  async function stageResult(attempt: number, summary: string): Promise<string> {
    const staged = await store.stage(attemptKey(attempt));
    mkdirSync(join(staged, "rasters"));
    writeFileSync(join(staged, "summary.json"), summary);
    writeFileSync(join(staged, "rasters", "loss.tif"), "raster");
    return staged;
  }

  it("publishes what was staged, with sizes and hashes, in an order of its own", async () => {
    const staged = await stageResult(1, "{}");
    const files = await store.publish(attemptKey(1), reportOf("{}"));
    // SHA-256 of "{}" by sha256sum of GNU coreutils.
    const sha256 = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a";
    expect(files.map(({ name }) => name)).toEqual(["rasters/loss.tif", "summary.json"]);
    expect(files[1]).toEqual({ name: "summary.json", bytes: 2, sha256 });
    expect(existsSync(staged)).toBe(false);
    const raster = readFileSync(store.findPath(doneJob(files), "rasters/loss.tif"));
    expect(createHash("sha256").update(raster).digest("hex")).toBe(files[0].sha256);
  });

  it("stages an empty folder each time", async () => {
    await stageResult(1, "{}");
    const again = await store.stage(attemptKey(1));
    expect(existsSync(join(again, "summary.json"))).toBe(false);
  });

  it("keeps attempts apart: who loses the fence disturbs no other", async () => {
    await stageResult(1, "late");
    await stageResult(2, "right");
    const files = await store.publish(attemptKey(2), reportOf("right"));
    await store.publish(attemptKey(1), reportOf("late"));
    expect(readFileSync(store.findPath(doneJob(files, 2), "summary.json"), "utf8")).toBe("right");
    await store.discard(attemptKey(1));
    expect(readFileSync(store.findPath(doneJob(files, 2), "summary.json"), "utf8")).toBe("right");
  });

  it("publishes the same attempt twice over", async () => {
    for (const summary of ["first", "second"]) {
      await stageResult(1, summary);
      const files = await store.publish(attemptKey(1), reportOf(summary));
      expect(readFileSync(store.findPath(doneJob(files), "summary.json"), "utf8")).toBe(summary);
    }
  });

  it("finds only names on the list, and never leaves the result", async () => {
    await stageResult(1, "{}");
    const files = await store.publish(attemptKey(1), reportOf("{}"));
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
      expect(() => store.findPath(doneJob(files), name)).toThrow(expect.objectContaining({ code: "not_found" }));
    const forged = { name: "../../../../../etc/passwd", bytes: 1, sha256: "0" };
    expect(() => store.findPath(doneJob([forged]), forged.name)).toThrow(
      expect.objectContaining({ code: "not_found" }),
    );
    expect(() => store.findPath(doneJob(null), "summary.json")).toThrow(expect.objectContaining({ code: "not_found" }));
  });

  it("refuses keys that are not a safe folder name", async () => {
    for (const bad of ["..", "a/b", "A", ""])
      await expect(store.stage({ ...attemptKey(1), tenant: bad })).rejects.toThrow(/tenant/);
    for (const bad of ["..", "j1", `${id}/x`]) await expect(store.remove(tenant, bad)).rejects.toThrow(/job id/);
    for (const token of ["", "0", "-1", "..", "g".repeat(32)])
      await expect(store.stage({ tenant, id, token })).rejects.toThrow(RangeError);
  });

  it("removes nothing of others for a key that leads out of its folder", async () => {
    await stageResult(1, "{}");
    const files = await store.publish(attemptKey(1), reportOf("{}"));
    for (const bad of ["..", "."]) await expect(store.remove(tenant, bad)).rejects.toThrow(/job id/);
    expect(readFileSync(store.findPath(doneJob(files), "summary.json"), "utf8")).toBe("{}");
  });

  it.each<[string, (staged: string) => void]>([
    ["a file more than", (staged) => writeFileSync(join(staged, "rasters", "more.tif"), "")],
    ["a file less than", (staged) => rmSync(join(staged, "rasters", "loss.tif"))],
    ["another file of the same length than", (staged) => writeFileSync(join(staged, "summary.json"), "[]")],
    ["an empty file instead of", (staged) => writeFileSync(join(staged, "rasters", "loss.tif"), "")],
  ])("refuses to publish %s what the computation reported", async (_what, spoil) => {
    spoil(await stageResult(1, "{}"));
    await expect(store.publish(attemptKey(1), reportOf("{}"))).rejects.toMatchObject({ code: "bad_result" });
    expect(existsSync(store.findPath(doneJob(reportOf("{}")), "summary.json"))).toBe(false);
  });

  it("removes every other attempt of a job, and of no other job", async () => {
    const [others, own] = [[await stageResult(1, "{}"), await stageResult(2, "{}")], await stageResult(3, "{}")];
    const foreign = await store.stage({ ...attemptKey(1), id: id.replace(/.$/, id.endsWith("0") ? "1" : "0") });
    await store.discardOthers(attemptKey(3));
    expect(others.map((folder) => existsSync(folder))).toEqual([false, false]);
    expect([existsSync(own), existsSync(foreign)]).toEqual([true, true]);
  });

  it("refuses to publish a link", async () => {
    const staged = await stageResult(1, "{}");
    symlinkSync("/etc/passwd", join(staged, "rasters", "link.tif"));
    await expect(store.publish(attemptKey(1), reportOf("{}"))).rejects.toMatchObject({ code: "bad_result" });
  });

  it("keeps work over attempts and sweeps until the job is done, or is removed", async () => {
    for (const end of [() => store.discardWork(tenant, id), () => store.remove(tenant, id)]) {
      const work = store.workFolder(tenant, id);
      mkdirSync(work, { recursive: true });
      await stageResult(1, "{}");
      await store.discard(attemptKey(1));
      await store.sweep(async () => false);
      expect(existsSync(work)).toBe(true);
      await end();
      expect(existsSync(work)).toBe(false);
    }
    expect(() => store.workFolder(tenant, "..")).toThrow(/job id/);
  });

  it("begins nothing while its folder is not where it was, and goes on when it is back", async () => {
    await stageResult(1, "{}");
    await store.check();
    const [place, away] = [join(folder.path, "results"), join(folder.path, "moved")];
    renameSync(place, away);
    for (const attempt of [
      () => store.check(),
      () => store.requireRoom(),
      () => store.stage(attemptKey(2)),
      () => store.publish(attemptKey(1), reportOf("{}")),
    ])
      await expect(attempt()).rejects.toMatchObject({ code: "storage_failed" });
    mkdirSync(place);
    await expect(store.check()).rejects.toMatchObject({ code: "storage_failed" });
    rmdirSync(place);
    renameSync(away, place);
    await store.check();
    await store.publish(attemptKey(1), reportOf("{}"));
  });

  it("begins nothing below its floor of free space", async () => {
    const full = openFolderStore(join(folder.path, "results"), { minFreeBytes: Number.MAX_SAFE_INTEGER });
    await expect(full.requireRoom()).rejects.toMatchObject({ code: "storage_full" });
    await expect(full.check()).rejects.toMatchObject({ code: "storage_full", message: /must stay free/ });
    expect(await full.freeBytes()).toBeGreaterThan(0);
  });

  it("sweeps the work of jobs that will not go on", async () => {
    const work = store.workFolder(tenant, id);
    mkdirSync(work, { recursive: true });
    await store.sweepWork(async (_tenant, found) => found === id);
    expect(existsSync(work)).toBe(true);
    await store.sweepWork(async () => false);
    expect(existsSync(work)).toBe(false);
  });

  it("removes everything of a job", async () => {
    await stageResult(1, "{}");
    const files = await store.publish(attemptKey(1), reportOf("{}"));
    const staged = await stageResult(2, "{}");
    await store.remove(tenant, id);
    expect(existsSync(staged)).toBe(false);
    expect(existsSync(store.findPath(doneJob(files), "summary.json"))).toBe(false);
    await store.remove(tenant, id);
  });

  it("sweeps what is not current, staged or published", async () => {
    expect(await store.sweep(async () => false)).toBe(0);
    for (const attempt of [1, 2]) {
      await stageResult(attempt, "{}");
      await store.publish(attemptKey(attempt), reportOf("{}"));
    }
    const [left, current] = [await stageResult(3, "{}"), await stageResult(4, "{}")];
    expect(await store.sweep(async ({ token }) => /^[24]+$/.test(token))).toBe(2);
    expect([existsSync(left), existsSync(current)]).toEqual([false, true]);
    const list = [{ name: "summary.json", bytes: 2, sha256: "" }];
    expect(existsSync(store.findPath(doneJob(list, 1), "summary.json"))).toBe(false);
    expect(existsSync(store.findPath(doneJob(list, 2), "summary.json"))).toBe(true);
  });
});
