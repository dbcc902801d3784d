import { copyFileSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fitWindow } from "@fellmark/geodesy";
import { createTempDir, needsShared, sharedDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openCatalogue, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import { reportTerrain } from "../catalogue/terrain-report.ts";
import { openClutter } from "./clutter-mosaic.ts";
import { readClutterWindow } from "./read-clutter-window.ts";

const COMPANIONS = join(sharedDir, "terrain/companions");

/** The sets that the rasters of a city area and of a land cover make, by the ends of the files' names. */
const SETS = [
  { name: "ground", kind: "bare", ending: "_DEM.tif" },
  { name: "houses", kind: "buildings", ending: "_BDSM.tif" },
  { name: "trees", kind: "canopy", ending: "_CDSM.tif" },
  { name: "cover", kind: "land-cover", ending: "_nlcd2011.tif", legend: "nlcd-2011" },
];

/** Cells by code, from `gdalinfo -hist` (GDAL 3.6.2). */
const NLCD_CELLS = {
  11: 1209,
  21: 14_149,
  22: 3173,
  23: 195,
  31: 106_070,
  41: 196_044,
  42: 564_668,
  43: 6825,
  52: 545_771,
  71: 4878,
  81: 8460,
  82: 268,
  90: 6422,
  95: 75,
};

describe.skipIf(!needsShared())("the clutter of ../shared/terrain/companions", () => {
  const folder = createTempDir("fellmark-companions-");
  let catalogue: TerrainCatalogue;
  afterAll(() => folder.remove());

  beforeAll(async () => {
    for (const { name, ending } of SETS) {
      const file = readdirSync(COMPANIONS).find((each) => each.endsWith(ending)) as string;
      mkdirSync(join(folder.path, name));
      copyFileSync(join(COMPANIONS, file), join(folder.path, name, "a.tif"));
    }
    const sets = SETS.map(({ ending, ...set }) => ({ ...set, path: set.name }));
    writeFileSync(join(folder.path, "terrain.json"), JSON.stringify({ version: 1, sets }));
    catalogue = await openCatalogue(folder.path);
  });

  it("has every code in the legend, as often as GDAL counts it", async () => {
    const { files } = await reportTerrain(catalogue);
    const { codes, voidCells, crs } = files.find(({ file }) => file.set === "cover") as (typeof files)[0];
    expect(Object.fromEntries(codes.map(({ code, cells }) => [code, cells]))).toEqual(NLCD_CELLS);
    expect(codes[0]).toEqual({ code: 42, name: "evergreen forest", cells: 564_668 });
    expect(codes.every(({ name }) => name !== null)).toBe(true);
    expect(voidCells).toBe(0);
    expect(crs).toBe("+proj=tmerc +lat_0=0 +lon_0=-111 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=GRS80 +units=m");
  });

  it("has heights without a no-data tag: 0 is where nothing stands, most cells; none is a void (gdalinfo -mm)", async () => {
    const { files } = await reportTerrain(catalogue);
    const report = (set: string) => files.find(({ file }) => file.set === set) as (typeof files)[0];
    expect(report("houses")).toMatchObject({ lowestM: 0, highestM: 52, voidCells: 0, codes: [] });
    expect(report("trees")).toMatchObject({ lowestM: 0, highestM: 49, voidCells: 0, codes: [] });
    expect(report("ground")).toMatchObject({ lowestM: -2, highestM: 103, voidCells: 0, coveredCells: 0 });
    expect(report("houses").coveredCells / report("houses").cells).toBeCloseTo(0.187, 2);
    expect(report("trees").coveredCells / report("trees").cells).toBeCloseTo(0.133, 2);
  });

  it.each([
    // gdallocationinfo -wgs84 -valonly (GDAL 3.6.2): houses, trees.
    { lon: -2.9933, lat: 43.3107, kind: "suburban", heightM: 12 },
    { lon: -2.98, lat: 43.315, kind: "suburban", heightM: 3 },
    { lon: -2.9771, lat: 43.3201, kind: "open", heightM: 0 },
    { lon: -2.99, lat: 43.31, kind: "urban", heightM: 16 },
    { lon: -3.0012, lat: 43.3251, kind: "trees", heightM: 5 },
    { lon: -2.9, lat: 43.3, kind: "unknown", heightM: Number.NaN },
  ])("stands in the city area at $lon, $lat: $kind of $heightM m", async ({ lon, lat, kind, heightM }) => {
    const box = [lon - 0.001, lat - 0.001, lon + 0.001, lat + 0.001] as const;
    const clutter = await openClutter(catalogue, { canopy: "trees", buildings: "houses" }, [...box]);
    expect(clutter.findClutter(lon, lat)).toMatchObject({ kind, heightM });
  });

  it.each([
    // gdallocationinfo: codes 52, 42, 41, 52, 41.
    { lon: -112.9, lat: 37.2, kind: "trees", heightM: 3 },
    { lon: -113.1, lat: 37.4, kind: "trees", heightM: 15 },
    { lon: -112.95, lat: 37.45, kind: "trees", heightM: 15 },
    { lon: -112.5, lat: 37.3, kind: "unknown", heightM: Number.NaN },
  ])("covers the land at $lon, $lat: $kind of $heightM m", async ({ lon, lat, kind, heightM }) => {
    const clutter = await openClutter(catalogue, { landCover: "cover" }, [-113.3, 37, -112.4, 37.6]);
    expect(clutter.findClutter(lon, lat)).toMatchObject({ kind, heightM });
  });

  it("does not reach beyond its rasters: there it is not known, never open", async () => {
    const window = fitWindow([{ lon: -2.9865, lat: 43.3123 }], 2500, 14);
    const sources = { canopy: "trees", buildings: "houses" };
    const { kind, heightM, notKnownCells } = await readClutterWindow(catalogue, sources, window);
    const nans = heightM.reduce((count, height) => count + (Number.isNaN(height) ? 1 : 0), 0);
    expect(kind.filter((each) => each === 0)).toHaveLength(notKnownCells);
    expect(nans).toBe(notKnownCells);
    // 3.4 km of some 5.5 km a side are known.
    expect(notKnownCells / kind.length).toBeGreaterThan(0.4);
    expect(notKnownCells / kind.length).toBeLessThan(0.7);
  });
});
