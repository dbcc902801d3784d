import { createGeodesicLine, findGeodesicPoint, fitWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { type ClutterData, createClutterMosaic, openClutter } from "./clutter-mosaic.ts";
import { CLUTTER_KINDS } from "./clutter-table.ts";
import { readClutterWindow } from "./read-clutter-window.ts";

/** Land cover of a tenth of a degree: wood in the west, meadow in the east, an unknown code in the south, no data at 255. */
const COVER: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.001,
  widthPx: 100,
  heightPx: 100,
  sampleType: "uint8",
  noData: "255",
  value: (column, row) => (row >= 98 ? 255 : row >= 90 ? 77 : column < 50 ? 10 : 30),
};

/** Trees of 8 m in a checkerboard, in the middle only; of half the step. */
const CANOPY: RasterSpec = {
  ...COVER,
  x: 10.02,
  y: 45.98,
  step: 0.0005,
  widthPx: 120,
  heightPx: 120,
  value: (column, row) => ((column + row) % 2 === 0 ? 8 : 0),
};

const SETS = JSON.stringify({
  version: 1,
  sets: [
    { name: "trees", path: "trees", kind: "canopy" },
    { name: "cover", path: "cover", kind: "land-cover", legend: "worldcover" },
  ],
});
const FILES = { "terrain.json": SETS, "trees/a.tif": makeGeoTiff(CANOPY), "cover/a.tif": makeGeoTiff(COVER) };
const BOTH = { landCover: "cover", canopy: "trees" };

/** Clutter of a place by the two masks above. */
function expected(lon: number, lat: number): { kind: string; heightM: number } {
  const cell = ({ x, y, step, widthPx, heightPx, value }: RasterSpec) => {
    const [column, row] = [Math.floor((lon - x) / step), Math.floor((y - lat) / step)];
    return column >= 0 && row >= 0 && column < widthPx && row < heightPx ? value(column, row) : Number.NaN;
  };
  const tree = cell(CANOPY);
  const code = cell(COVER);
  if (tree === 8) return { kind: "trees", heightM: 8 };
  if (code === 10 && Number.isNaN(tree)) return { kind: "trees", heightM: 15 };
  const isFree = tree === 0 || code === 10 || code === 30;
  return isFree ? { kind: "open", heightM: 0 } : { kind: "unknown", heightM: Number.NaN };
}

describe("clutter", () => {
  it("of a place is that of the nearest cell of each source", async () => {
    await useCatalogue(FILES, async (catalogue) => {
      const clutter = await openClutter(catalogue, BOTH, [9.95, 45.85, 10.15, 46.05]);
      for (let lon = 9.970317; lon < 10.13; lon += 0.0027137) {
        for (let lat = 45.870319; lat < 46.02; lat += 0.0031313) {
          expect(clutter.findClutter(lon, lat)).toMatchObject(expected(lon, lat));
          expect(clutter.findClutter(lon - 360, lat)).toMatchObject(expected(lon, lat));
        }
      }
      expect(clutter.data.filesUsed.map(({ name }) => name)).toEqual(["trees/a.tif", "cover/a.tif"]);
    });
  });

  it("along a line is that of its points, also from the copy that another thread gets", async () => {
    await useCatalogue(FILES, async (catalogue) => {
      const { data } = await openClutter(catalogue, BOTH, [9.95, 45.85, 10.15, 46.05]);
      const clutter = createClutterMosaic(structuredClone<ClutterData>(data));
      const from = { lon: 9.991, lat: 45.882 };
      const line = createGeodesicLine(from, { lon: 10.093, lat: 46.004 });
      const heightM = new Float64Array(333);
      const kind = new Uint8Array(333);
      const notKnown = clutter.sampleLine(line, heightM, kind);
      let unknown = 0;
      kind.forEach((index, point) => {
        const { lon, lat } = findGeodesicPoint(from, line.azimuthDeg, (line.distanceM * point) / 332);
        const want = expected(lon, lat);
        expect({ kind: CLUTTER_KINDS[index], heightM: heightM[point] }).toEqual(want);
        if (want.kind === "unknown") unknown++;
      });
      expect(notKnown).toBe(unknown);
      expect(unknown).toBeGreaterThan(20);
    });
  });

  it("of a window is that of its cells' centres, with the codes that the legend lacks", async () => {
    await useCatalogue(FILES, async (catalogue) => {
      const window = fitWindow([{ lon: 10.05, lat: 45.95 }], 6000, 14);
      const read = await readClutterWindow(catalogue, BOTH, window);
      let unlike = 0;
      let unknown = 0;
      let strange = 0;
      read.kind.forEach((index, cell) => {
        const lon = toLongitudeDeg(window.col0 + (cell % window.width) + 0.5, window.zoom);
        const lat = toLatitudeDeg(window.row0 + Math.floor(cell / window.width) + 0.5, window.zoom);
        const want = expected(lon, lat);
        if (CLUTTER_KINDS[index] !== want.kind || !Object.is(read.heightM[cell], want.heightM)) unlike++;
        if (want.kind === "unknown") unknown++;
        const row = Math.floor((46 - lat) / 0.001);
        if (lon >= 10 && lon < 10.1 && row >= 90 && row < 98) strange++;
      });
      expect(unlike).toBe(0);
      expect(read.notKnownCells).toBe(unknown);
      expect(read.unknownCodes).toEqual([{ code: 77, cells: strange }]);
      expect(read.heightM.buffer).toBeInstanceOf(SharedArrayBuffer);
    });
  });

  it("takes the heights that the caller gives", async () => {
    await useCatalogue(FILES, async (catalogue) => {
      const clutter = await openClutter(catalogue, { landCover: "cover", heights: { "10": 22 } }, [10, 45.9, 10.1, 46]);
      expect(clutter.findClutter(10.01, 45.99)).toMatchObject({ kind: "trees", heightM: 22 });
    });
  });

  it("lists a hundred strange codes at most, whatever a raster holds", async () => {
    const strange = makeGeoTiff({ ...COVER, sampleType: "float64", value: (column, row) => 2000 + column + row / 128 });
    await useCatalogue({ ...FILES, "cover/a.tif": strange }, async (catalogue) => {
      const window = fitWindow([{ lon: 10.05, lat: 45.95 }], 3000, 14);
      const { unknownCodes, notKnownCells } = await readClutterWindow(catalogue, { landCover: "cover" }, window);
      expect(unknownCodes).toHaveLength(100);
      expect(notKnownCells).toBe(window.width * window.height);
    });
  });
});
