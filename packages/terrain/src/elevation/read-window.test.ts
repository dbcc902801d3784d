import { type LatticeWindow, latitudeOfRow, longitudeOfColumn, windowAround } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import type { TerrainCatalogue } from "../catalogue/open-catalogue.ts";
import { withCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { openMosaic } from "./mosaic.ts";
import { readWindow, type TerrainWindow } from "./read-window.ts";

/** A plane over longitude and latitude, known to the raster at its cell centres only. */
const plane = (lon: number, lat: number) => 500 + 300 * (lon - 10) - 200 * (lat - 46);

interface Piece {
  /** North-west corner of the area that the cells cover. */
  west: number;
  north: number;
  step?: number;
  side?: number;
  height?: (lon: number, lat: number) => number;
}

/** A square geographic raster; by default a tenth of a degree wide. */
function piece(
  { west, north, step = 0.001, side = 100, height = plane }: Piece,
  more: Partial<RasterSpec> = {},
): Buffer {
  return makeGeoTiff({
    epsg: 4326,
    x: west,
    y: north,
    step,
    widthPx: side,
    heightPx: side,
    noData: "-9999",
    value: (column, row) => {
      const value = height(west + (column + 0.5) * step, north - (row + 0.5) * step);
      return Number.isNaN(value) ? -9999 : value;
    },
    ...more,
  });
}

const WINDOW = windowAround([{ lon: 10.05, lat: 45.95 }], 3000, 11);

const read = (catalogue: TerrainCatalogue, window = WINDOW, sets = ["default"], fillVoids = false) =>
  readWindow(catalogue, sets, window, { fillVoids });

/** Calls `look` with each cell's centre and height. */
function eachCell({ window, heightsAmslM }: TerrainWindow, look: (lon: number, lat: number, heightM: number) => void) {
  heightsAmslM.forEach((heightM, cell) => {
    const lon = longitudeOfColumn(window.col0 + (cell % window.width) + 0.5, window.zoom);
    const lat = latitudeOfRow(window.row0 + Math.floor(cell / window.width) + 0.5, window.zoom);
    look(lon, lat, heightM);
  });
}

/** Cells whose height is not the wanted one within 0.01 m; NaN is wanted where the ground is not to be known. */
function cellsOff(read: TerrainWindow, wanted: (lon: number, lat: number) => number): number {
  let off = 0;
  eachCell(read, (lon, lat, heightM) => {
    const want = wanted(lon, lat);
    if (Number.isNaN(want) ? !Number.isNaN(heightM) : !(Math.abs(heightM - want) < 0.01)) off++;
  });
  return off;
}

function worstOff(read: TerrainWindow, height: (lon: number, lat: number) => number): number {
  let worst = 0;
  eachCell(read, (lon, lat, heightM) => {
    worst = Math.max(worst, Math.abs(heightM - height(lon, lat)));
  });
  return worst;
}

describe("a plane comes back as the same plane", () => {
  it.each<[string, Partial<RasterSpec>]>([
    ["strips", {}],
    ["tiles", { tilePx: 64, compression: "deflate" }],
    ["doubles", { sampleType: "float64" }],
    ["pixel-is-point", { pixelIs: "point", x: 10.0005, y: 45.9995 }],
  ])("%s", async (_what, more) => {
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46 }, more) }, async (catalogue) => {
      const window = await read(catalogue);
      expect(window.notKnownCells).toBe(0);
      expect(worstOff(window, plane)).toBeLessThan(0.001);
      expect(window.heightsAmslM.buffer).toBeInstanceOf(SharedArrayBuffer);
    });
  });

  it("and half a cell off where pixel-is-point is taken for area", async () => {
    const shifted = piece({ west: 10, north: 46 }, { pixelIs: "point" });
    await withCatalogue({ "a.tif": shifted }, async (catalogue) => {
      const off = 300 * 0.0005 + 200 * 0.0005;
      expect(worstOff(await read(catalogue), plane)).toBeCloseTo(off, 3);
    });
  });

  it("in parts, where the raster is far finer than the window", async () => {
    const fine = piece(
      { west: 10, north: 46, step: 0.00001, side: 3200 },
      { sampleType: "int16", value: (c, r) => c - r },
    );
    const window = windowAround([{ lon: 10.016, lat: 45.984 }], 1000, 11);
    await withCatalogue({ "a.tif": fine }, async (catalogue) => {
      const height = (lon: number, lat: number) => (lon - 10) * 1e5 - 0.5 - ((46 - lat) * 1e5 - 0.5);
      expect(worstOff(await read(catalogue, window), height)).toBeLessThan(0.1);
    });
  });
});

describe("a hole stays a hole", () => {
  const hole = (lon: number, lat: number) =>
    Math.hypot(lon - 10.05, lat - 45.95) < 0.008 ? Number.NaN : plane(lon, lat);
  /** Whether any of the four cells around a place is inside the hole. */
  const touchesHole = (lon: number, lat: number) =>
    [0, 1].some((right) =>
      [0, 1].some((down) => {
        const column = Math.floor((lon - 10) / 0.001 - 0.5) + right;
        const row = Math.floor((46 - lat) / 0.001 - 0.5) + down;
        return Number.isNaN(hole(10 + (column + 0.5) * 0.001, 46 - (row + 0.5) * 0.001));
      }),
    );

  it("grown by the cells that would blend it in, and by no other", async () => {
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46, height: hole }) }, async (catalogue) => {
      const window = await read(catalogue);
      expect(cellsOff(window, (lon, lat) => (touchesHole(lon, lat) ? Number.NaN : plane(lon, lat)))).toBe(0);
      expect(window.notKnownCells).toBeGreaterThan(500);
      expect(window.notKnownCells).toBe(window.heightsAmslM.filter(Number.isNaN).length);
    });
  });

  it("unless the next raster knows it", async () => {
    const files = {
      "terrain.json":
        '{"version":1,"sets":[{"name":"a","path":"a","kind":"bare"},{"name":"b","path":"b","kind":"surface"}]}',
      "a/a.tif": piece({ west: 10, north: 46, height: hole }),
      "b/b.tif": piece({ west: 10, north: 46, height: () => 7 }),
    };
    await withCatalogue(files, async (catalogue) => {
      const window = await read(catalogue, WINDOW, ["a", "b"]);
      expect(window).toMatchObject({ notKnownCells: 0, kind: "unknown" });
      expect(window.filesUsed.map(({ name }) => name)).toEqual(["a/a.tif", "b/b.tif"]);
      expect(cellsOff(window, (lon, lat) => (touchesHole(lon, lat) ? 7 : plane(lon, lat)))).toBe(0);
      const other = await read(catalogue, WINDOW, ["b", "a"]);
      expect(other).toMatchObject({ notKnownCells: 0, kind: "surface" });
      expect(new Set(other.heightsAmslM)).toEqual(new Set([7]));
      expect(other.filesUsed.map(({ name }) => name)).toEqual(["b/b.tif"]);
    });
  });

  it("unless filling is asked for, and then it is counted", async () => {
    const small = (lon: number, lat: number) =>
      Math.hypot(lon - 10.05, lat - 45.95) < 0.002 ? Number.NaN : plane(lon, lat);
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46, height: small }) }, async (catalogue) => {
      const open = await read(catalogue);
      const filled = await read(catalogue, WINDOW, ["default"], true);
      expect(open.filledCells).toBe(0);
      expect(filled).toMatchObject({ notKnownCells: 0, filledCells: open.notKnownCells });
      expect(worstOff(filled, plane)).toBeLessThan(0.5);
    });
  });

  it("also where a tile is left out of the file", async () => {
    const sparse = { tilePx: 64, sparse: [3] };
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46 }, sparse) }, async (catalogue) => {
      const leftOut = (lon: number, lat: number) => lon > 10.0635 && lat < 45.9365;
      const window = await read(catalogue);
      expect(cellsOff(window, (lon, lat) => (leftOut(lon, lat) ? Number.NaN : plane(lon, lat)))).toBe(0);
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
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46 }, spec) }, async (catalogue) => {
      expect((await read(catalogue)).notKnownCells).toBe(WINDOW.width * WINDOW.height);
    });
  });

  it.each([0, -3, -431])("%d m is a height", async (heightM) => {
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46, height: () => heightM }) }, async (catalogue) => {
      const window = await read(catalogue);
      expect(window).toMatchObject({ notKnownCells: 0, flags: [] });
      expect(new Set(window.heightsAmslM)).toEqual(new Set([heightM]));
    });
  });

  it.each([
    [-1200, "terrain_too_low"],
    [9500, "terrain_too_high"],
  ])("F24: %d m is a height that is warned of", async (heightM, code) => {
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46, height: () => heightM }) }, async (catalogue) => {
      const cells = WINDOW.width * WINDOW.height;
      expect((await read(catalogue)).flags).toMatchObject([{ code, cells }]);
    });
  });
});

describe("seams", () => {
  const four = (overlap: number) => {
    const side = 50 + overlap;
    const corners = [10, 10.05].flatMap((west) => [46, 45.95].map((north) => ({ west, north, side })));
    return Object.fromEntries(corners.map((corner, index) => [`${index}.tif`, piece(corner)]));
  };

  it.each([
    ["only abut", 0],
    ["share a column and a row", 1],
  ])("are invisible where tiles %s", async (_what, overlap) => {
    await withCatalogue(four(overlap), async (catalogue) => {
      const window = await read(catalogue);
      expect(window.notKnownCells).toBe(0);
      expect(worstOff(window, plane)).toBeLessThan(0.001);
      expect(window.filesUsed).toHaveLength(4);
    });
  });

  it("are not bridged between sets", async () => {
    const files = {
      "terrain.json":
        '{"version":1,"sets":[{"name":"a","path":"a","kind":"bare"},{"name":"b","path":"b","kind":"bare"}]}',
      "a/w.tif": piece({ west: 10, north: 46, side: 50, height: () => 100 }),
      "b/e.tif": piece({ west: 10.05, north: 46, height: () => 200 }),
    };
    await withCatalogue(files, async (catalogue) => {
      const window = await read(catalogue, WINDOW, ["a", "b"]);
      expect(window.kind).toBe("bare");
      expect(window.notKnownCells).toBeGreaterThan(0);
      const south = (lat: number) => lat < 45.95;
      expect(cellsOff(window, (lon, lat) => (lon > 10.05 ? 200 : south(lat) ? Number.NaN : 100))).toBe(0);
    });
  });

  it("leave no gap between rasters of unlike grids", async () => {
    const files = {
      "w.tif": piece({ west: 10, north: 46, side: 50 }),
      "e.tif": piece({ west: 10.05, north: 46, step: 0.0007, side: 150 }),
    };
    await withCatalogue(files, async (catalogue) => {
      let worstM = 0;
      eachCell(await read(catalogue), (lon, lat, heightM) => {
        if (lat > 45.95) worstM = Math.max(worstM, Math.abs(heightM - plane(lon, lat)));
      });
      expect(worstM).toBeLessThan(0.2);
    });
  });

  it("end where the outermost cells end", async () => {
    await withCatalogue({ "a.tif": piece({ west: 10, north: 46, side: 50 }) }, async (catalogue) => {
      const outside = (lon: number, lat: number) => lon > 10.05 || lat < 45.95;
      const window = await read(catalogue);
      expect(window.notKnownCells).toBeGreaterThan(0);
      eachCell(window, (lon, lat, heightM) => {
        if (Number.isNaN(heightM) !== outside(lon, lat)) expect.fail(`at ${lon}, ${lat}`);
      });
    });
  });
});

describe("priority", () => {
  it("goes to the finer raster, then to the name", async () => {
    const files = {
      "a.tif": piece({ west: 10, north: 46, step: 0.002, height: () => 1 }),
      "c.tif": piece({ west: 10, north: 46, height: () => 3 }),
      "b.tif": piece({ west: 10, north: 46, height: () => 2 }),
    };
    await withCatalogue(files, async (catalogue) => {
      const window = await read(catalogue);
      expect(new Set(window.heightsAmslM)).toEqual(new Set([2]));
    });
  });
});

describe("over the antimeridian", () => {
  const files = {
    "e.tif": piece({ west: 179.9, north: 46, height: (lon, lat) => plane(lon - 170, lat) }),
    "w.tif": piece({ west: -180, north: 46, height: (lon, lat) => plane(lon + 190, lat) }),
  };

  it.each([180, -180])("a window around %d is whole", async (lon) => {
    const window = windowAround([{ lon, lat: 45.95 }], 3000, 12);
    await withCatalogue(files, async (catalogue) => {
      const heights = await read(catalogue, window);
      expect(heights.notKnownCells).toBe(0);
      expect(worstOff(heights, (at, lat) => plane(at - lon + 10, lat))).toBeLessThan(0.001);
    });
  });

  it("a mosaic takes any turn of a longitude", async () => {
    await withCatalogue(files, async (catalogue) => {
      const mosaic = await openMosaic(catalogue, ["default"], [179.95, 45.92, 180.05, 45.98]);
      for (const lon of [179.98, 180, 180.01]) {
        expect(mosaic.heightAmslM(lon, 45.95)).toBeCloseTo(plane(lon - 170, 45.95), 3);
        expect(mosaic.heightAmslM(lon - 360, 45.95)).toBeCloseTo(plane(lon - 170, 45.95), 3);
      }
    });
  });

  it.each([32601, 3857])("also in EPSG:%i", async (epsg) => {
    const west = epsg === 3857 ? -20_037_508 : 266_000;
    const north = epsg === 3857 ? 5_780_000 : 5_110_000;
    const flat = (x: number) =>
      makeGeoTiff({ epsg, x, y: north, step: 100, widthPx: 200, heightPx: 200, value: () => 50 });
    const window: LatticeWindow = windowAround([{ lon: 180, lat: 45.97 }], 2000, 12);
    await withCatalogue({ "a.tif": flat(west - 10_000) }, async (catalogue) => {
      const { notKnownCells, heightsAmslM } = await read(catalogue, window);
      expect(notKnownCells).toBe(0);
      expect(new Set(heightsAmslM)).toEqual(new Set([50]));
    });
  });
});

it("nothing is known where there is no raster", async () => {
  await withCatalogue({}, async (catalogue) => {
    const window = await read(catalogue);
    expect(window).toMatchObject({ notKnownCells: WINDOW.width * WINDOW.height, kind: "unknown", filesUsed: [] });
  });
});
