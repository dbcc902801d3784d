import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fitWindow } from "@fellmark/geodesy";
import { needsShared, sharedDir } from "@fellmark/testkit";
import { beforeAll, describe, expect, it } from "vitest";
import { openCatalogue, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import { reportTerrain } from "../catalogue/terrain-report.ts";
import { openMosaic } from "./mosaic.ts";
import { readWindow } from "./read-window.ts";

const FOLDERS = ["dem", "variants", "companions"];

/** The value that the file stores where GDAL finds no height. */
const VOID = -32768;

describe.skipIf(!needsShared())("the rasters of ../shared/terrain", () => {
  const catalogues = new Map<string, TerrainCatalogue>();
  const inFolder = (folder: string) => catalogues.get(folder) as TerrainCatalogue;
  const only = (folder: string, name: string): TerrainCatalogue => ({
    ...inFolder(folder),
    files: inFolder(folder).files.filter((file) => file.name === name),
  });

  beforeAll(async () => {
    for (const folder of FOLDERS) catalogues.set(folder, await openCatalogue(join(sharedDir, "terrain", folder)));
  });

  it("agree with every known point, read with GDAL (../shared/terrain/known_points.csv)", async () => {
    const rows = readFileSync(join(sharedDir, "terrain/known_points.csv"), "utf8").trim().split("\n").slice(1);
    const wrong: string[] = [];
    for (const row of rows) {
      const [path, lon, lat, value] = row.split(",") as [string, string, string, string];
      const [folder, name] = path.split("/") as [string, string];
      const [x, y] = [Number(lon), Number(lat)];
      const mosaic = await openMosaic(only(folder, name), ["default"], [x - 0.01, y - 0.01, x + 0.01, y + 0.01]);
      const expected = Number(value) === VOID ? Number.NaN : Number(value);
      if (!Object.is(mosaic.findNearestCellAmslM(x, y), expected)) wrong.push(row);
    }
    expect(rows).toHaveLength(108);
    expect(wrong).toEqual([]);
  });

  it("hold the voids and heights that ../shared/README.md tells", async () => {
    const { files, bbox } = await reportTerrain(inFolder("dem"));
    const byName = Object.fromEntries(files.map((each) => [each.file.name, each]));
    expect(byName["N44W072.hgt"]).toMatchObject({
      voidCells: 0,
      lowestM: 115,
      highestM: 1908,
      cells: 1201 * 1201,
    });
    expect(byName["S16E166.hgt"]).toMatchObject({ voidCells: 6229 });
    expect(byName["N22W160.hgt.zip"]?.voidCells).toBeGreaterThan(0);
    expect(byName["N22W160.hgt.zip"]?.lowestM).toBeLessThan(0);
    expect(files).toHaveLength(11);
    expect(bbox?.map(Math.round)).toEqual([-160, -16, 167, 48]);
  });

  it("refuse by name what is not a supported raster", () => {
    expect(inFolder("variants").refused.map(({ name }) => name)).toEqual(["crop_arcgrid.asc", "crop_arcgrid.prj"]);
    const { refused } = inFolder("companions");
    expect(refused.map(({ name }) => name)).toEqual(["premises_points_N44W072.csv", "zion_nlcd2011.tif"]);
    expect(refused[1]?.reason).toMatch(/codes with a table of colours/);
  });

  it("have the ground size of their cells, not that of the map (3857 at 44 degrees: 125 units are 89 m)", () => {
    const step = (name: string) => only("variants", name).files[0]?.resolutionM;
    expect(step("crop_webmercator_3857.tif")).toBeCloseTo(89.4, 1);
    expect(step("crop_stateplane_ftus_epsg5646.tif")).toBeCloseTo((300 * 1200) / 3937, 1);
    expect(step("crop_utm19n_90m.tif")).toBeCloseTo(90, 1);
  });

  it("hold a disc of 20 km around a ridge on four tiles that only abut, without a gap", async () => {
    const window = fitWindow([{ lon: -76.7488, lat: 40.7763 }], 20_000, 12);
    const { notKnownCells, filesUsed, flags } = await readWindow(inFolder("dem"), ["default"], window, {
      fillVoids: false,
    });
    expect(notKnownCells).toBe(0);
    expect(filesUsed.map(({ name }) => name).sort()).toEqual([
      "w76.75_n40.5.tif",
      "w76.75_n40.75.tif",
      "w77.0_n40.5.tif",
      "w77.0_n40.75.tif",
    ]);
    expect(flags).toEqual([]);
  });

  it("are the same ground in every encoding (the 256 x 256 crop of N44W072)", async () => {
    const box = [-71.9, 44.305, -71.69, 44.516] as const;
    const whole = await openMosaic(only("dem", "N44W072.hgt"), ["default"], [...box]);
    const crops = inFolder("variants").files.filter(({ name, crs }) => crs === 4326 && !name.startsWith("S16"));
    expect(crops).toHaveLength(10);
    for (const { name } of crops) {
      const crop = await openMosaic(only("variants", name), ["default"], [...box]);
      let unequal = 0;
      for (let lon = box[0]; lon < box[2]; lon += 0.00213) {
        for (let lat = box[1]; lat < box[3]; lat += 0.00197) {
          if (!(Math.abs(crop.findHeightAmslM(lon, lat) - whole.findHeightAmslM(lon, lat)) < 1e-3)) unequal++;
        }
      }
      expect(unequal, name).toBe(0);
    }
  });

  it("hide half a cell of error in pixel-is-point: 5.6 m mean, 110 m at most on N44W072", async () => {
    const tile = await openMosaic(only("dem", "N44W072.hgt"), ["default"], [-72, 44, -71, 45]);
    let sum = 0;
    let most = 0;
    let count = 0;
    for (let column = 1; column < 1200; column += 3) {
      for (let row = 1; row < 1200; row += 3) {
        const [lon, lat] = [-72 + column / 1200, 45 - row / 1200];
        const off = Math.abs(tile.findHeightAmslM(lon, lat) - tile.findHeightAmslM(lon - 0.5 / 1200, lat + 0.5 / 1200));
        sum += off;
        most = Math.max(most, off);
        count++;
      }
    }
    expect(sum / count).toBeCloseTo(5.6, 0);
    expect(most).toBeGreaterThan(80);
    expect(most).toBeLessThan(115);
  });

  it("meet along the column that N00E010 and N00E011 share", async () => {
    const mosaic = await openMosaic(inFolder("dem"), ["default"], [10.9, 0.1, 11.1, 0.9]);
    for (let lat = 0.15; lat < 0.85; lat += 0.0123) {
      const [west, at, east] = [-1e-7, 0, 1e-7].map((by) => mosaic.findHeightAmslM(11 + by, lat)) as [
        number,
        number,
        number,
      ];
      expect(Math.abs(west - at) + Math.abs(east - at)).toBeLessThan(0.1);
    }
  });
});
