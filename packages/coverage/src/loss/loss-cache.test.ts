import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, utimesSync, writeFileSync } from "node:fs";
import { hostname } from "node:os";
import { join } from "node:path";
import { createLossRasters } from "@fellmark/sweep";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createLossCache, type TerrainUse } from "./loss-cache.ts";
import { nameTemporary, sweepLossCache } from "./loss-cache-files.ts";

const window = { zoom: 12, col0: 0, row0: 0, width: 40, height: 30 };
const terrain: TerrainUse = { kind: "bare", files: [], filledCells: 0, mastAmslM: 130, flags: [] };
const key = (digit: string) => digit.repeat(64);
const UUID = "00000000-0000-4000-8000-000000000000";

let folder: TempDir;
let cacheDir: string;
beforeEach(() => {
  folder = createTempDir();
  cacheDir = join(folder.path, "cache");
});
afterEach(() => folder.remove());

function lossOf(value: number) {
  const rasters = createLossRasters(window);
  rasters.excessDb.fill(value);
  return { rasters, terrain };
}

function putFile(name: string, ageMs = 0, bytes = 100): string {
  mkdirSync(cacheDir, { recursive: true });
  const path = join(cacheDir, name);
  writeFileSync(path, Buffer.alloc(bytes));
  const at = new Date(Date.now() - ageMs);
  utimesSync(path, at, at);
  return path;
}

describe("loss cache", () => {
  it("gives back what was written, and nothing for another key", async () => {
    const cache = createLossCache(cacheDir, { maxBytes: 1e9 });
    await cache.write(key("a"), lossOf(7));
    expect((await cache.read(key("a"), window))?.rasters.excessDb[5]).toBe(7);
    expect(await cache.read(key("b"), window)).toBeUndefined();
  });

  it("holds while many write the same entry at once, and leaves no temporary file", async () => {
    const caches = Array.from({ length: 4 }, () => createLossCache(cacheDir, { maxBytes: 1e9 }));
    await Promise.all(Array.from({ length: 24 }, (_, index) => caches[index % 4].write(key("a"), lossOf(7))));
    expect(readdirSync(cacheDir)).toEqual([`${key("a")}.loss`]);
    expect((await caches[0].read(key("a"), window))?.rasters.excessDb[5]).toBe(7);
  });

  it("is a miss where the folder cannot be written", async () => {
    writeFileSync(cacheDir, "a file");
    const cache = createLossCache(cacheDir, { maxBytes: 1e9 });
    await cache.write(key("a"), lossOf(7));
    expect(await cache.read(key("a"), window)).toBeUndefined();
  });
});

describe("sweep of a loss cache", () => {
  it("removes temporary files whose writer has died, and keeps those of one that lives", async () => {
    const dead = spawnSync(process.execPath, ["-e", ""]).pid;
    const left = putFile(`${key("a")}.loss.${hostname()}-${dead}-${UUID}.tmp`);
    const living = putFile(nameTemporary(key("a")));
    const elsewhere = putFile(`${key("a")}.loss.other-host-${dead}-${UUID}.tmp`);
    const old = putFile(`${key("b")}.loss.other-host-${dead}-${UUID}.tmp`, 3_700_000);
    const unnamed = putFile(`${key("b")}.loss.4711.tmp`, 3_700_000);
    await sweepLossCache(cacheDir, { maxBytes: 1e9 });
    expect([left, old, unnamed].map((path) => existsSync(path))).toEqual([false, false, false]);
    expect([living, elsewhere].map((path) => existsSync(path))).toEqual([true, true]);
  });

  it("keeps the entries used last within the size, and none beyond the age; foreign files stay", async () => {
    const [newest, middle, oldest] = ["a", "b", "c"].map((digit, index) => putFile(`${key(digit)}.loss`, index * 1000));
    const foreign = putFile("notes.txt", 1e9);
    expect(await sweepLossCache(cacheDir, { maxBytes: 250 })).toBe(200);
    expect([newest, middle, oldest, foreign].map((path) => existsSync(path))).toEqual([true, true, false, true]);
    expect(await sweepLossCache(cacheDir, { maxBytes: 250, maxAgeMs: 500 })).toBe(100);
    expect([newest, middle].map((path) => existsSync(path))).toEqual([true, false]);
    expect(await sweepLossCache(join(folder.path, "none"), { maxBytes: 1 })).toBe(0);
  });
});
