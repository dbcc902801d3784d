import { copyFileSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import {
  type LandCoverClass,
  LEGENDS,
  type Legend,
  openCatalogue,
  openClutter,
  type TerrainFile,
} from "@fellmark/terrain";
import { createSeededRandom, createTempDir, needsShared, sharedDir } from "@fellmark/testkit";
import { afterAll, describe, expect, it } from "vitest";
import { gdal, needsGdal } from "./gdal.ts";

const COMPANIONS = join(sharedDir, "terrain/companions");
const scratch = createTempDir("fellmark-clutter-");
afterAll(() => scratch.remove());

const HEIGHTS = (value: number) => (value < 2 ? { kind: "open", heightM: 0 } : { kind: "trees", heightM: value });
const CODES = (code: number) => {
  const legend = LEGENDS["nlcd-2011"] as Legend;
  const { kind, heightM } = legend[code] as LandCoverClass;
  return { kind, heightM };
};

describe.skipIf(!needsGdal() || !needsShared())("clutter equals gdallocationinfo's cells", () => {
  it.each([
    { field: "canopy", kind: "canopy", ending: "_CDSM.tif", wanted: HEIGHTS },
    { field: "landCover", kind: "land-cover", legend: "nlcd-2011", ending: "_nlcd2011.tif", wanted: CODES },
  ])("of $field", async ({ field, kind, legend, ending, wanted }) => {
    const path = join(COMPANIONS, readdirSync(COMPANIONS).find((name) => name.endsWith(ending)) as string);
    const folder = join(scratch.path, field);
    mkdirSync(folder);
    copyFileSync(path, join(folder, "a.tif"));
    const set = { name: "a", path: ".", kind, ...(legend && { legend }) };
    writeFileSync(join(folder, "terrain.json"), JSON.stringify({ version: 1, sets: [set] }));
    const catalogue = await openCatalogue(folder);
    const [west, south, east, north] = (catalogue.files[0] as TerrainFile).bbox;
    const clutter = await openClutter(catalogue, { [field]: "a" }, [west, south, east, north]);
    const random = createSeededRandom(4);
    const places = Array.from({ length: 400 }, () => [
      west + random() * (east - west),
      south + random() * (north - south),
    ]) as [number, number][];
    const input = places.map((place) => place.join(" ")).join("\n");
    const values = gdal("gdallocationinfo", ["-wgs84", "-valonly", path], `${input}\n`).split("\n");
    let known = 0;
    places.forEach(([lon, lat], index) => {
      const value = values[index] as string;
      const want = value === "" ? { kind: "unknown", heightM: Number.NaN } : wanted(Number(value));
      expect(clutter.findClutter(lon, lat), `${lon} ${lat}`).toMatchObject(want);
      if (value !== "") known++;
    });
    expect(known).toBeGreaterThan(300);
  });
});
