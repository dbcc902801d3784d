import { fitWindow } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import { countCellsOff, findWorstDifference, makePiece, plane, readTerrain, WINDOW } from "../testing/plane.ts";
import { useCatalogue } from "../testing/terrain-folder.ts";
import type { RasterSpec } from "../testing/tiff-maker.ts";

describe("a plane is read as the same plane", () => {
  it.each<[string, Partial<RasterSpec>]>([
    ["strips", {}],
    ["tiles", { tilePx: 64, compression: "deflate" }],
    ["doubles", { sampleType: "float64" }],
    ["pixel-is-point", { pixelIs: "point", x: 10.0005, y: 45.9995 }],
  ])("%s", async (_what, more) => {
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46 }, more) }, async (catalogue) => {
      const window = await readTerrain(catalogue);
      expect(window.notKnownCells).toBe(0);
      expect(findWorstDifference(window, plane)).toBeLessThan(0.001);
      expect(window.heightsAmslM.buffer).toBeInstanceOf(SharedArrayBuffer);
    });
  });

  it("and half a cell off where pixel-is-point is taken for area", async () => {
    const shifted = makePiece({ west: 10, north: 46 }, { pixelIs: "point" });
    await useCatalogue({ "a.tif": shifted }, async (catalogue) => {
      const off = 300 * 0.0005 + 200 * 0.0005;
      expect(findWorstDifference(await readTerrain(catalogue), plane)).toBeCloseTo(off, 3);
    });
  });

  it("in parts, where the raster is far finer than the window", async () => {
    const fine = makePiece({ west: 10, north: 46, step: 0.00001, side: 3200 }, { value: (c, r) => (c - r) / 10 });
    const window = fitWindow([{ lon: 10.016, lat: 45.984 }], 1000, 11);
    await useCatalogue({ "a.tif": fine }, async (catalogue) => {
      const height = (lon: number, lat: number) => ((lon - 10) * 1e5 - 0.5 - ((46 - lat) * 1e5 - 0.5)) / 10;
      expect(findWorstDifference(await readTerrain(catalogue, window), height)).toBeLessThan(0.01);
    });
  });
});

describe("a hole stays a hole", () => {
  const hole = (lon: number, lat: number) =>
    Math.hypot(lon - 10.05, lat - 45.95) < 0.008 ? Number.NaN : plane(lon, lat);
  /** True where any of the four cells around a place is inside the hole. */
  const touchesHole = (lon: number, lat: number) =>
    [0, 1].some((right) =>
      [0, 1].some((down) => {
        const column = Math.floor((lon - 10) / 0.001 - 0.5) + right;
        const row = Math.floor((46 - lat) / 0.001 - 0.5) + down;
        return Number.isNaN(hole(10 + (column + 0.5) * 0.001, 46 - (row + 0.5) * 0.001));
      }),
    );

  it("grown by the cells that would blend it in, and by no other", async () => {
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46, height: hole }) }, async (catalogue) => {
      const window = await readTerrain(catalogue);
      expect(countCellsOff(window, (lon, lat) => (touchesHole(lon, lat) ? Number.NaN : plane(lon, lat)))).toBe(0);
      expect(window.notKnownCells).toBeGreaterThan(500);
      expect(window.notKnownCells).toBe(window.heightsAmslM.filter(Number.isNaN).length);
    });
  });

  it("unless the next raster knows it", async () => {
    const files = {
      "terrain.json":
        '{"version":1,"sets":[{"name":"a","path":"a","kind":"bare"},{"name":"b","path":"b","kind":"surface"}]}',
      "a/a.tif": makePiece({ west: 10, north: 46, height: hole }),
      "b/b.tif": makePiece({ west: 10, north: 46, height: () => 7 }),
    };
    await useCatalogue(files, async (catalogue) => {
      const window = await readTerrain(catalogue, WINDOW, ["a", "b"]);
      expect(window).toMatchObject({ notKnownCells: 0, kind: "unknown" });
      expect(window.filesUsed.map(({ name }) => name)).toEqual(["a/a.tif", "b/b.tif"]);
      expect(countCellsOff(window, (lon, lat) => (touchesHole(lon, lat) ? 7 : plane(lon, lat)))).toBe(0);
      const other = await readTerrain(catalogue, WINDOW, ["b", "a"]);
      expect(other).toMatchObject({ notKnownCells: 0, kind: "surface" });
      expect(new Set(other.heightsAmslM)).toEqual(new Set([7]));
      expect(other.filesUsed.map(({ name }) => name)).toEqual(["b/b.tif"]);
    });
  });

  it("unless filling is asked for, and then it is counted", async () => {
    const small = (lon: number, lat: number) =>
      Math.hypot(lon - 10.05, lat - 45.95) < 0.002 ? Number.NaN : plane(lon, lat);
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46, height: small }) }, async (catalogue) => {
      const open = await readTerrain(catalogue);
      const filled = await readTerrain(catalogue, WINDOW, ["default"], true);
      expect(open.filledCells).toBe(0);
      expect(filled).toMatchObject({ notKnownCells: 0, filledCells: open.notKnownCells });
      expect(findWorstDifference(filled, plane)).toBeLessThan(0.5);
    });
  });

  it("also where a tile is left out of the file", async () => {
    const sparse = { tilePx: 64, sparse: [3] };
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46 }, sparse) }, async (catalogue) => {
      const leftOut = (lon: number, lat: number) => lon > 10.0635 && lat < 45.9365;
      const window = await readTerrain(catalogue);
      expect(countCellsOff(window, (lon, lat) => (leftOut(lon, lat) ? Number.NaN : plane(lon, lat)))).toBe(0);
    });
  });
});

describe("values that stand for no height", () => {
  it.each<[string, Partial<RasterSpec>, number]>([
    ["-32768 without a tag", { sampleType: "int16" }, -32768],
    ["32767 without a tag", { sampleType: "int16" }, 32767],
    ["65535 without a tag", { sampleType: "uint16" }, 65535],
    ["-9999 without a tag", { sampleType: "float32" }, -9999],
    ["NaN without a tag", { sampleType: "float32" }, Number.NaN],
    ["a tag that a float rounds", { sampleType: "float32", noData: "-3.4028234e+38" }, -3.4028234e38],
    ["a tag of its own", { sampleType: "int16", noData: "-1" }, -1],
    ["a tag that says NaN", { sampleType: "float64", noData: "nan" }, Number.NaN],
  ])("%s", async (_what, more, stored) => {
    const spec = { noData: undefined, value: () => stored, ...more } as Partial<RasterSpec>;
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46 }, spec) }, async (catalogue) => {
      expect((await readTerrain(catalogue)).notKnownCells).toBe(WINDOW.width * WINDOW.height);
    });
  });

  it.each([0, -3, -431])("%d m is a height", async (heightM) => {
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46, height: () => heightM }) }, async (catalogue) => {
      const window = await readTerrain(catalogue);
      expect(window).toMatchObject({ notKnownCells: 0, flags: [] });
      expect(new Set(window.heightsAmslM)).toEqual(new Set([heightM]));
    });
  });

  it.each([
    [-1200, "terrain_too_low"],
    [9500, "terrain_too_high"],
  ])("F24: %d m is not known, and warned of", async (heightM, code) => {
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46, height: () => heightM }) }, async (catalogue) => {
      const { flags, notKnownCells } = await readTerrain(catalogue);
      expect(flags.map((flag) => flag.code)).toEqual([code]);
      expect(notKnownCells).toBe(WINDOW.width * WINDOW.height);
    });
  });
});

it("nothing is known where there is no raster", async () => {
  await useCatalogue({}, async (catalogue) => {
    const window = await readTerrain(catalogue);
    expect(window).toMatchObject({ notKnownCells: WINDOW.width * WINDOW.height, kind: "unknown", filesUsed: [] });
  });
});
