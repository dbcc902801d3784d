import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fitWindow } from "@fellmark/geodesy";
import { createLossRasters } from "@fellmark/sweep";
import { createSeededRandom, createTempDir, type TempDir } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { createLossCache, type TerrainUse } from "./loss-cache.ts";

const WINDOW = fitWindow([{ lon: 3, lat: 50 }], 300, 12);
const TERRAIN: TerrainUse = {
  kind: "surface",
  files: [{ name: "a.tif", sha256: "00ff", resolutionM: 10 }],
  filledCells: 3,
  mastAmslM: 130,
  flags: [],
};

/** A loss whose every value tells its seed. */
function lossOf(seed: number) {
  const random = createSeededRandom(seed);
  const rasters = createLossRasters(WINDOW);
  for (let cell = 0; cell < rasters.cellClass.length; cell++) {
    rasters.excessDb[cell] = 60 * random();
    rasters.raysCdeg[2 * cell] = Math.round(900 * random());
    rasters.raysCdeg[2 * cell + 1] = Math.round(-900 * random());
    rasters.cellClass[cell] = Math.floor(3 * random());
  }
  return { rasters, terrain: { ...TERRAIN, filledCells: seed } };
}

let folder: TempDir;
beforeEach(() => {
  folder = createTempDir();
});
afterEach(() => folder.remove());

const pathOf = (key: string) => join(folder.path, `${key}.loss`);

describe("an entry of the cache of losses", () => {
  it("gives back what was written, bit by bit, and nothing for another key", async () => {
    const cache = createLossCache(join(folder.path, "deep", "down"), { maxBytes: 1e9 });
    await cache.write("one", lossOf(1));
    await cache.write("two", lossOf(2));
    expect(await cache.read("one", WINDOW)).toEqual(lossOf(1));
    expect(await cache.read("two", WINDOW)).toEqual(lossOf(2));
    expect(await cache.read("three", WINDOW)).toBeUndefined();
  });

  it("takes an entry for absent where any byte is wrong, it is cut short, or it fits a smaller window", async () => {
    const cache = createLossCache(folder.path, { maxBytes: 1e9 });
    await cache.write("one", lossOf(1));
    const bytes = readFileSync(pathOf("one"));
    for (const place of [0, 33, 40, 200, bytes.length - 1]) {
      const damaged = Buffer.from(bytes);
      damaged[place] ^= 1;
      writeFileSync(pathOf("one"), damaged);
      expect(await cache.read("one", WINDOW)).toBeUndefined();
    }
    for (const length of [0, 20, 36, bytes.length - 1]) {
      writeFileSync(pathOf("one"), bytes.subarray(0, length));
      expect(await cache.read("one", WINDOW)).toBeUndefined();
    }
    writeFileSync(pathOf("one"), bytes);
    expect(await cache.read("one", { ...WINDOW, height: WINDOW.height + 1 })).toBeUndefined();
    expect(await cache.read("one", WINDOW)).toEqual(lossOf(1));
  });
});
