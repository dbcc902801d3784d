import { describe, expect, it } from "vitest";
import { countCellsOff, plane, WINDOW } from "../testing/plane.ts";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { openMosaic } from "./mosaic.ts";
import { readWindow } from "./read-window.ts";

const STEP = 0.001;
const GROUND: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: STEP,
  widthPx: 100,
  heightPx: 100,
  value: (column, row) => plane(10 + (column + 0.5) * STEP, 46 - (row + 0.5) * STEP),
};

/** A wood of 12 m on the western half of the ground, in cells a quarter as wide; its eastern tenth is not known. */
const CANOPY: RasterSpec = {
  ...GROUND,
  step: STEP / 4,
  widthPx: 360,
  heightPx: 400,
  sampleType: "uint8",
  value: (column) => (column < 200 ? 12 : 0),
};
const SURFACE = {
  ...GROUND,
  value: (column: number, row: number) => GROUND.value(column, row) + (column < 50 ? 12 : 0),
};

const files = (kind: string, surface = makeGeoTiff(SURFACE)) => ({
  "terrain.json": JSON.stringify({
    version: 1,
    sets: [
      { name: "a", path: "a", kind },
      { name: "trees", path: "trees", kind: "canopy" },
      { name: "houses", path: "houses", kind: "buildings" },
    ],
  }),
  "a/a.tif": surface,
  "trees/a.tif": makeGeoTiff(CANOPY),
  "houses/a.tif": makeGeoTiff(CANOPY),
});

const options = { fillVoids: false, canopy: "trees" };

describe("canopy taken off", () => {
  it("gives the ground under a wood back, in a window and in a mosaic", async () => {
    await useCatalogue(files("surface"), async (catalogue) => {
      const window = await readWindow(catalogue, ["a"], WINDOW, options);
      expect(window.kind).toBe("bare");
      expect(countCellsOff(window, plane)).toBe(0);
      const mosaic = await openMosaic(catalogue, ["a"], [10, 45.9, 10.1, 46], { canopy: "trees" });
      expect(mosaic.kind).toBe("bare");
      expect(mosaic.findHeightAmslM(10.02, 45.95)).toBeCloseTo(plane(10.02, 45.95), 3);
      // Where the canopy is not known the surface stays as it is.
      expect(mosaic.findHeightAmslM(10.097, 45.95)).toBeCloseTo(plane(10.097, 45.95), 3);
    });
  });

  it("is the mean over a surface cell", async () => {
    const rows = { ...CANOPY, value: (column: number, row: number) => ((column + row) % 2 === 0 ? 12 : 0) };
    const flat = makeGeoTiff({ ...GROUND, value: () => 106 });
    await useCatalogue({ ...files("surface", flat), "trees/a.tif": makeGeoTiff(rows) }, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["a"], [10, 45.9, 10.1, 46], { canopy: "trees" });
      expect(mosaic.findHeightAmslM(10.0405, 45.9505)).toBeCloseTo(100, 4);
    });
  });

  it.each(["bare", "unknown"])("is never taken off ground of kind %s", async (kind) => {
    await useCatalogue(files(kind, makeGeoTiff(GROUND)), async (catalogue) => {
      const window = await readWindow(catalogue, ["a"], WINDOW, options);
      expect(window.kind).toBe(kind);
      expect(countCellsOff(window, plane)).toBe(0);
    });
  });

  it("leaves a void a void, and a surface without canopy a surface", async () => {
    const holes = makeGeoTiff({
      ...SURFACE,
      noData: "-9999",
      value: (column, row) => (column === 20 ? -9999 : SURFACE.value(column, row)),
    });
    await useCatalogue(files("surface", holes), async (catalogue) => {
      const box = [10, 45.9, 10.1, 46] as const;
      const mosaic = await openMosaic(catalogue, ["a"], [...box], { canopy: "trees" });
      expect(mosaic.findNearestCellAmslM(10.0205, 45.9505)).toBeNaN();
      expect(mosaic.findNearestCellAmslM(10.0215, 45.9505)).toBeCloseTo(plane(10.0215, 45.9505), 3);
      const surface = await openMosaic(catalogue, ["a"], [...box]);
      expect(surface.kind).toBe("surface");
      expect(surface.findNearestCellAmslM(10.0215, 45.9505)).toBeCloseTo(plane(10.0215, 45.9505) + 12, 3);
    });
  });

  it("must be a set of canopy", async () => {
    await useCatalogue(files("surface"), async (catalogue) => {
      const reading = readWindow(catalogue, ["a"], WINDOW, { ...options, canopy: "houses" });
      await expect(reading).rejects.toMatchObject({ code: "terrain_set_kind" });
      await expect(openMosaic(catalogue, ["trees"], [10, 45.9, 10.1, 46])).rejects.toThrow(
        /holds canopy, not elevation/,
      );
    });
  });
});
