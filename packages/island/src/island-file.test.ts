import { execFileSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { createTempDir, hasCommand, needs, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { ISLAND_FILE, WOODS, writeIsland } from "./island-file.ts";
import { findMastPlaces } from "./island-places.ts";
import { createIsland } from "./island-terrain.ts";

let folder: TempDir;
let path: string;
beforeAll(async () => {
  folder = createTempDir();
  path = join(folder.path, ISLAND_FILE);
  await writeIsland(folder.path);
}, 60_000);
afterAll(() => folder.remove());

test("the tile is a whole one of one arc second with the summits where the request puts the masts", () => {
  expect(statSync(path).size).toBe(2 * 3601 * 3601);
  const tile = readFileSync(path);
  const { west, east } = findMastPlaces(createIsland());
  for (const { lon, lat, heightM } of [west, east]) {
    const sample = Math.round((-32 - lat) * 3600) * 3601 + Math.round((lon + 119) * 3600);
    expect(tile.readInt16BE(2 * sample)).toBe(heightM);
  }
});

test("the woods lie in a folder of their own, on the samples of the ground", () => {
  const [ground, woods] = [path, join(folder.path, WOODS, ISLAND_FILE)].map((tile) => readFileSync(tile));
  expect(woods).toHaveLength(ground.length);
  const sets = JSON.parse(readFileSync(join(folder.path, "terrain.json"), "utf8")).sets;
  expect(sets.map(({ name, kind }: { name: string; kind: string }) => `${name} ${kind}`)).toEqual([
    "default bare",
    "woods canopy",
  ]);
  let drowned = 0;
  for (let at = 0; at < woods.length; at += 2) if (woods[at + 1] > 0 && ground.readInt16BE(at) === 0) drowned++;
  expect(drowned).toBe(0);
});

describe.skipIf(!needs("gdalinfo", hasCommand("gdalinfo")))("read by GDAL (needs gdalinfo)", () => {
  test("the tile lies in the open South Pacific and holds the heights that were made", () => {
    const info = JSON.parse(execFileSync("gdalinfo", ["-json", "-mm", path], { encoding: "utf8" }));
    const highestM = createIsland().heightsM.reduce((highest, heightM) => Math.max(highest, heightM), 0);
    expect(info.size).toEqual([3601, 3601]);
    expect(info.cornerCoordinates.upperLeft[0]).toBeCloseTo(-119 - 0.5 / 3600, 7);
    expect(info.cornerCoordinates.upperLeft[1]).toBeCloseTo(-32 + 0.5 / 3600, 7);
    expect([info.bands[0].computedMin, info.bands[0].computedMax]).toEqual([0, highestM]);
  });
});
