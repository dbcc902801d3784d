import { createGeodesicLine, findGeodesic, findGeodesicPoint } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { createMosaic, type MosaicData, openMosaic } from "./mosaic.ts";
import { readProfile } from "./profile.ts";

const plane = (lon: number, lat: number) => 500 + 300 * (lon - 10) - 200 * (lat - 46);

const SPEC: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.001,
  widthPx: 100,
  heightPx: 100,
  value: (column, row) => plane(10.0005 + column * 0.001, 45.9995 - row * 0.001),
};
const COARSE = { ...SPEC, x: 9.9, y: 46.1, step: 0.003, value: () => 1234 };

describe("a mosaic", () => {
  it("gives the plane back between cells, and the best raster that knows the place", async () => {
    const files = { "fine.tif": makeGeoTiff(SPEC), "coarse.tif": makeGeoTiff(COARSE) };
    await useCatalogue(files, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [9.95, 45.92, 10.08, 45.98]);
      expect(mosaic.findHeightAmslM(10.0437, 45.9312)).toBeCloseTo(plane(10.0437, 45.9312), 3);
      expect(mosaic.findHeightAmslM(9.97, 45.9312)).toBe(1234);
      expect(mosaic.findHeightAmslM(9.2, 45.9312)).toBeNaN();
      expect(mosaic.findHeightAmslM(Number.NaN, 45)).toBeNaN();
      expect(mosaic.stepM).toBeCloseTo(111.1, 0);
      expect(mosaic).toMatchObject({ kind: "unknown" });
      expect(mosaic.filesUsed.map(({ name }) => name)).toEqual(["fine.tif", "coarse.tif"]);
    });
  });

  it("gives the value of the nearest cell as it is stored", async () => {
    const files = {
      "a.tif": makeGeoTiff({ ...SPEC, sampleType: "int16", value: (column, row) => column + 80 * row }),
    };
    await useCatalogue(files, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.1, 46]);
      expect(mosaic.findNearestCellAmslM(10.0034, 45.9976)).toBe(163);
      expect(mosaic.findNearestCellAmslM(10.0001, 45.9999)).toBe(0);
      expect(mosaic.findNearestCellAmslM(10.0999, 45.9001)).toBe(8019);
    });
  });

  it("gives along a line what it gives point by point, also from the copy that another thread gets", async () => {
    const files = { "fine.tif": makeGeoTiff(SPEC), "coarse.tif": makeGeoTiff(COARSE) };
    await useCatalogue(files, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [9.95, 45.8, 10.08, 45.98]);
      const from = { lon: 370.06, lat: 45.97 };
      const line = createGeodesicLine(from, { lon: 369.96, lat: 45.76 });
      const heights = new Float64Array(57);
      const notKnown = createMosaic(structuredClone<MosaicData>(mosaic.data)).sampleHeights(line, heights);
      let nans = 0;
      heights.forEach((height, point) => {
        const at = findGeodesicPoint(from, line.azimuthDeg, (line.distanceM * point) / 56);
        const exact = mosaic.findHeightAmslM(at.lon, at.lat);
        if (Number.isNaN(exact)) nans++;
        else expect(height).toBeCloseTo(exact, 3);
      });
      expect(nans).toBeGreaterThan(3);
      expect(notKnown).toBe(nans);
    });
  });

  it("refuses an area of too many cells", async () => {
    const wide = makeGeoTiff({
      ...SPEC,
      tilePx: 16,
      sampleType: "uint8",
      fields: [
        { tag: 256, type: 4, values: [4200] },
        { tag: 257, type: 4, values: [4200] },
        { tag: 322, type: 3, values: [4096] },
        { tag: 323, type: 3, values: [4096] },
        { tag: 324, type: 4, values: new Array(4).fill(0) },
        { tag: 325, type: 4, values: new Array(4).fill(0) },
      ],
    });
    await useCatalogue({ "wide.tif": wide }, async (catalogue) => {
      const opening = openMosaic(catalogue, ["default"], [10, 41.8, 14.2, 46]);
      await expect(opening).rejects.toMatchObject({ code: "terrain_too_fine" });
    });
  });

  it("is empty where there is nothing", async () => {
    await useCatalogue({}, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [9.95, 45.92, 10.08, 45.98]);
      expect(mosaic.findHeightAmslM(10, 45.95)).toBeNaN();
      expect(mosaic.stepM).toBeNaN();
    });
  });
});

describe("a profile", () => {
  const from = { lon: 10.02, lat: 45.92 };

  it("has equal steps along the geodesic, no longer than asked, both ends included", async () => {
    await useCatalogue({ "a.tif": makeGeoTiff(SPEC) }, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.1, 46]);
      const to = findGeodesicPoint(from, 40, 1000);
      const { distanceM, heightAmslM, notKnownShare } = readProfile(mosaic, from, to, 300);
      expect([...distanceM].map((each) => Math.round(each * 1e6) / 1e6)).toEqual([0, 250, 500, 750, 1000]);
      expect(notKnownShare).toBe(0);
      distanceM.forEach((distance, index) => {
        const at = findGeodesicPoint(from, 40, distance);
        expect(heightAmslM[index]).toBeCloseTo(plane(at.lon, at.lat), 3);
      });
    });
  });

  it("has three points at least, also between a place and itself", async () => {
    await useCatalogue({ "a.tif": makeGeoTiff(SPEC) }, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.1, 46]);
      expect(readProfile(mosaic, from, findGeodesicPoint(from, 90, 10), 300).distanceM).toHaveLength(3);
      expect([...readProfile(mosaic, from, from, 300).distanceM]).toEqual([0, 0, 0]);
      expect(() => readProfile(mosaic, from, from, 0)).toThrow(RangeError);
    });
  });

  it("tells the share that is not known", async () => {
    await useCatalogue({ "a.tif": makeGeoTiff(SPEC) }, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.2, 46]);
      const edge = { lon: 10.1, lat: 45.95 };
      const lengthM = findGeodesic({ lon: 10.05, lat: 45.95 }, edge).distanceM;
      const profile = readProfile(mosaic, { lon: 10.05, lat: 45.95 }, findGeodesicPoint(edge, 90, lengthM), 10);
      expect(profile.notKnownShare).toBeCloseTo(0.5, 1);
      expect(profile.heightAmslM[0]).not.toBeNaN();
      expect(profile.heightAmslM.at(-1)).toBeNaN();
    });
  });
});
