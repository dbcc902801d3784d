import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import type * as Terrain from "@fellmark/terrain";
import { createTempDir } from "@fellmark/testkit";
import { afterAll, describe, expect, test } from "vitest";
import { type SmallTiff, smallTiff } from "./small-tiff.ts";

const dist = fileURLToPath(new URL("../../packages/terrain/dist", import.meta.url));
const copies = fileURLToPath(new URL(`../../node_modules/.broken-terrain-${process.pid}`, import.meta.url));
const scratch = createTempDir("fellmark-guards-");
afterAll(() => {
  rmSync(copies, { recursive: true, force: true });
  scratch.remove();
});

const GROUND: SmallTiff = { west: 10, north: 46, step: 0.001, side: 50, height: () => 120, noData: "-9999" };
const BOX: Terrain.LonLatBox = [10, 45.95, 10.05, 46];

let made = 0;

/** A new folder with one raster. */
function folderWith(bytes: Buffer): string {
  const folder = path.join(scratch.path, String(made++));
  mkdirSync(folder);
  writeFileSync(path.join(folder, "a.tif"), bytes);
  return folder;
}

/** The package as it is built, or a copy of it with one text replaced. */
async function load(broken?: { file: string; from: string; to: string }): Promise<typeof Terrain> {
  const copy = path.join(copies, String(made++));
  cpSync(dist, copy, { recursive: true, filter: (source) => !source.endsWith(".map") });
  if (broken) {
    const file = path.join(copy, broken.file);
    const text = readFileSync(file, "utf8");
    expect(text.split(broken.from), `${broken.file} holds the guard once`).toHaveLength(2);
    writeFileSync(file, text.replace(broken.from, broken.to));
  }
  return import(/* @vite-ignore */ pathToFileURL(path.join(copy, "index.js")).href);
}

/** The height in the middle of a raster; NaN where it is not known. */
async function heightOf(terrain: typeof Terrain, bytes: Buffer): Promise<number> {
  const catalogue = await terrain.openCatalogue(folderWith(bytes));
  const mosaic = await terrain.openMosaic(catalogue, ["default"], BOX);
  return mosaic.findNearestCellAmslM(10.0255, 45.9745);
}

/** A check of a guard: true where the guard works. */
type Check = (terrain: typeof Terrain) => Promise<boolean>;

const GUARDS: [string, { file: string; from: string; to: string }, Check][] = [
  [
    "the no-data mask",
    { file: "codec/decode-block.js", from: "heights[at] = Number.NaN", to: "heights[at] = 0" },
    async (terrain) => Number.isNaN(await heightOf(terrain, smallTiff({ ...GROUND, height: () => -9999 }))),
  ],
  [
    "the range of heights",
    { file: "raster/read-cells.js", from: "value > highest", to: "false" },
    async (terrain) => Number.isNaN(await heightOf(terrain, smallTiff({ ...GROUND, height: () => 9500 }))),
  ],
  [
    "the identity of an open file",
    {
      file: "raster/byte-source.js",
      from: "return (one.sizeBytes === other.sizeBytes",
      to: "return true || (one.sizeBytes === other.sizeBytes",
    },
    async (terrain) => {
      const folder = folderWith(smallTiff(GROUND));
      const catalogue = await terrain.openCatalogue(folder);
      writeFileSync(path.join(folder, "a.tif"), smallTiff({ ...GROUND, height: () => 130 }));
      return terrain.openMosaic(catalogue, ["default"], BOX).then(
        () => false,
        () => true,
      );
    },
  ],
  [
    "the hash of the content in the fingerprint",
    {
      file: "catalogue/open-catalogue.js",
      from: "JSON.stringify([set, kind, name, sha256",
      to: "JSON.stringify([set, kind, name",
    },
    async (terrain) => {
      const fingerprint = async (heightM: number) =>
        (await terrain.openCatalogue(folderWith(smallTiff({ ...GROUND, height: () => heightM })))).fingerprint;
      return (await fingerprint(100)) !== (await fingerprint(101));
    },
  ],
  [
    "the limits of blocks in the file",
    { file: "geotiff/block-layout.js", from: "start + bytes > fileBytes", to: "false" },
    async (terrain) => {
      const cut = smallTiff(GROUND);
      cut.writeUInt32LE(1e6, cut.readUInt32LE(4) + 2 + 12 * 4 + 8);
      return (await terrain.openCatalogue(folderWith(cut))).refused.length === 1;
    },
  ],
];

describe("a guard that is broken on purpose is noticed (F50)", () => {
  test.each(GUARDS)("%s", async (_guard, broken, check) => {
    expect(await check(await load())).toBe(true);
    expect(await check(await load(broken))).toBe(false);
  });
});
