import { fitWindow, type LatticeWindow } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import {
  countCellsOff,
  findWorstDifference,
  forEachCell,
  makePiece,
  plane,
  readTerrain,
  WINDOW,
} from "../testing/plane.ts";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff } from "../testing/tiff-maker.ts";
import { openMosaic } from "./mosaic.ts";

describe("borders of tiles", () => {
  const four = (overlap: number) => {
    const side = 50 + overlap;
    const corners = [10, 10.05].flatMap((west) => [46, 45.95].map((north) => ({ west, north, side })));
    return Object.fromEntries(corners.map((corner, index) => [`${index}.tif`, makePiece(corner)]));
  };

  it.each([
    ["only abut", 0],
    ["share a column and a row", 1],
  ])("are invisible where tiles %s", async (_what, overlap) => {
    await useCatalogue(four(overlap), async (catalogue) => {
      const window = await readTerrain(catalogue);
      expect(window.notKnownCells).toBe(0);
      expect(findWorstDifference(window, plane)).toBeLessThan(0.001);
      expect(window.filesUsed).toHaveLength(4);
    });
  });

  it("are not bridged between sets", async () => {
    const files = {
      "terrain.json":
        '{"version":1,"sets":[{"name":"a","path":"a","kind":"bare"},{"name":"b","path":"b","kind":"bare"}]}',
      "a/w.tif": makePiece({ west: 10, north: 46, side: 50, height: () => 100 }),
      "b/e.tif": makePiece({ west: 10.05, north: 46, height: () => 200 }),
    };
    await useCatalogue(files, async (catalogue) => {
      const window = await readTerrain(catalogue, WINDOW, ["a", "b"]);
      expect(window.kind).toBe("bare");
      expect(window.notKnownCells).toBeGreaterThan(0);
      const south = (lat: number) => lat < 45.95;
      expect(countCellsOff(window, (lon, lat) => (lon > 10.05 ? 200 : south(lat) ? Number.NaN : 100))).toBe(0);
    });
  });

  it("leave no gap between rasters of unlike grids", async () => {
    const files = {
      "w.tif": makePiece({ west: 10, north: 46, side: 50 }),
      "e.tif": makePiece({ west: 10.05, north: 46, step: 0.0007, side: 150 }),
    };
    await useCatalogue(files, async (catalogue) => {
      let worstM = 0;
      forEachCell(await readTerrain(catalogue), (lon, lat, heightM) => {
        if (lat > 45.95) worstM = Math.max(worstM, Math.abs(heightM - plane(lon, lat)));
      });
      expect(worstM).toBeLessThan(0.2);
    });
  });

  it("end where the outermost cells end", async () => {
    await useCatalogue({ "a.tif": makePiece({ west: 10, north: 46, side: 50 }) }, async (catalogue) => {
      const outside = (lon: number, lat: number) => lon > 10.05 || lat < 45.95;
      const window = await readTerrain(catalogue);
      expect(window.notKnownCells).toBeGreaterThan(0);
      forEachCell(window, (lon, lat, heightM) => {
        if (Number.isNaN(heightM) !== outside(lon, lat)) expect.fail(`at ${lon}, ${lat}`);
      });
    });
  });
});

describe("priority", () => {
  it("goes to the finer raster, then to the name", async () => {
    const files = {
      "a.tif": makePiece({ west: 10, north: 46, step: 0.002, height: () => 1 }),
      "c.tif": makePiece({ west: 10, north: 46, height: () => 3 }),
      "b.tif": makePiece({ west: 10, north: 46, height: () => 2 }),
    };
    await useCatalogue(files, async (catalogue) => {
      const window = await readTerrain(catalogue);
      expect(new Set(window.heightsAmslM)).toEqual(new Set([2]));
    });
  });
});

describe("over the antimeridian", () => {
  const files = {
    "e.tif": makePiece({ west: 179.9, north: 46, height: (lon, lat) => plane(lon - 170, lat) }),
    "w.tif": makePiece({ west: -180, north: 46, height: (lon, lat) => plane(lon + 190, lat) }),
  };

  it.each([180, -180])("a window around %d is whole", async (lon) => {
    const window = fitWindow([{ lon, lat: 45.95 }], 3000, 12);
    await useCatalogue(files, async (catalogue) => {
      const heights = await readTerrain(catalogue, window);
      expect(heights.notKnownCells).toBe(0);
      expect(findWorstDifference(heights, (at, lat) => plane(at - lon + 10, lat))).toBeLessThan(0.001);
    });
  });

  it("a mosaic takes any turn of a longitude", async () => {
    await useCatalogue(files, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [179.95, 45.92, 180.05, 45.98]);
      for (const lon of [179.98, 180, 180.01]) {
        expect(mosaic.findHeightAmslM(lon, 45.95)).toBeCloseTo(plane(lon - 170, 45.95), 3);
        expect(mosaic.findHeightAmslM(lon - 360, 45.95)).toBeCloseTo(plane(lon - 170, 45.95), 3);
      }
    });
  });

  it.each([32601, 3857])("also in EPSG:%i", async (epsg) => {
    const west = epsg === 3857 ? -20_037_508 : 266_000;
    const north = epsg === 3857 ? 5_780_000 : 5_110_000;
    const flat = (x: number) =>
      makeGeoTiff({ epsg, x, y: north, step: 100, widthPx: 200, heightPx: 200, value: () => 50 });
    const window: LatticeWindow = fitWindow([{ lon: 180, lat: 45.97 }], 2000, 12);
    await useCatalogue({ "a.tif": flat(west - 10_000) }, async (catalogue) => {
      const { notKnownCells, heightsAmslM } = await readTerrain(catalogue, window);
      expect(notKnownCells).toBe(0);
      expect(new Set(heightsAmslM)).toEqual(new Set([50]));
    });
  });
});
