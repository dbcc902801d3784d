import { TerrainError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { openMosaic } from "../elevation/mosaic.ts";
import { readTerrain, WINDOW } from "../testing/plane.ts";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec, type TiffField } from "../testing/tiff-maker.ts";

/** A sound raster of 50 m under the whole of WINDOW. */
const SPEC: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.001,
  widthPx: 100,
  heightPx: 100,
  value: () => 50,
};

const utm = (x: number, y: number): RasterSpec => ({ ...SPEC, epsg: 32632, x, y, step: 30 });
const long = (tag: number, ...values: number[]): TiffField => ({ tag, type: 4, values });

/** The reason for which a file is refused when the catalogue is opened; undefined where it is used. */
async function reasonOfRefusal(spec: RasterSpec): Promise<string | undefined> {
  const started = performance.now();
  const reason = await useCatalogue({ "a.tif": makeGeoTiff(spec) }, async ({ refused }) => refused[0]?.reason);
  expect(performance.now() - started).toBeLessThan(5000);
  return reason;
}

describe("a raster is refused for its place", () => {
  it.each<[string, RasterSpec, RegExp]>([
    ["wider than the Earth", { ...SPEC, step: 1e7 }, /outside the area of EPSG:4326/],
    [
      "wider than 360 degrees",
      { ...SPEC, x: -180, widthPx: 3700, heightPx: 1, step: 0.1 },
      /370 degrees wide; at most 360/,
    ],
    ["beyond any turn of the Earth", { ...SPEC, x: 1e6 }, /longitude 1000000/],
    ["beyond a pole", { ...SPEC, y: 91 }, /outside the area of EPSG:4326/],
    ["far beyond its zone", utm(60_000_000, 5_000_000), /outside the area of EPSG:32632/],
    [
      "with coordinates of a zone that come back as others",
      utm(-2_986_000, -80_506_000),
      /outside the area of EPSG:32632/,
    ],
    [
      "in the web map, twice around the world",
      { ...SPEC, epsg: 3857, x: -2e7, y: 1e6, step: 9000, widthPx: 9000, heightPx: 1 },
      /degrees wide/,
    ],
  ])("%s", async (_what, spec, reason) => {
    expect(await reasonOfRefusal(spec)).toMatch(reason);
  });

  it.each<[string, number, RegExp]>([
    ["a nanometre", 1e-14, /cell of .* m; a side has 0.1 m to 20 km/],
    ["a centimetre", 1e-7, /0.1 m to 20 km/],
    ["30 km", 0.3, /0.1 m to 20 km/],
    ["the least number", 5e-324, /0.1 m to 20 km/],
  ])("with cells of %s", async (_what, step, reason) => {
    expect(await reasonOfRefusal({ ...SPEC, step })).toMatch(reason);
  });

  it("but not for the antimeridian, 0 to 360 degrees, a pole or the whole Earth", async () => {
    for (const place of [
      { x: 179.95 },
      { x: 359.95 },
      { x: -180, y: 90, step: 0.1, widthPx: 3600, heightPx: 1800, sampleType: "uint8" as const },
      { x: -180.005, y: 90.005, step: 0.01, widthPx: 36_001, heightPx: 16, sampleType: "uint8" as const },
      { epsg: 3857, x: -20_037_508.342789244, y: 2_000_000, step: 9783.93962, widthPx: 4096, heightPx: 2 },
    ]) {
      expect(await reasonOfRefusal({ ...SPEC, ...place })).toBeUndefined();
    }
  });
});

describe("heights that do not exist are not known", () => {
  it.each<[string, number]>([
    ["infinite", Number.POSITIVE_INFINITY],
    ["infinitely low", Number.NEGATIVE_INFINITY],
    ["over 9,000 m", 9000.5],
    ["under -500 m", -500.5],
    ["1e30 m", 1e30],
  ])("%s", async (_what, heightM) => {
    const holes = makeGeoTiff({ ...SPEC, value: (column) => (column % 2 === 0 ? 50 : heightM) });
    await useCatalogue({ "a.tif": holes }, async (catalogue) => {
      const { heightsAmslM, flags } = await readTerrain(catalogue);
      expect(new Set(heightsAmslM.filter((height) => !Number.isNaN(height)))).toEqual(new Set([]));
      expect(flags.map(({ code }) => code)).toEqual([heightM < 0 ? "terrain_too_low" : "terrain_too_high"]);
      const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.1, 46]);
      expect(mosaic.findNearestCellAmslM(10.0505, 45.9505)).toBe(50);
      expect(mosaic.findNearestCellAmslM(10.0515, 45.9505)).toBeNaN();
    });
  });

  it("and a sound raster below fills them", async () => {
    const files = {
      "terrain.json":
        '{"version":1,"sets":[{"name":"a","path":"a","kind":"bare"},{"name":"b","path":"b","kind":"bare"}]}',
      "a/a.tif": makeGeoTiff({ ...SPEC, value: () => 20_000 }),
      "b/b.tif": makeGeoTiff({ ...SPEC, value: () => 70 }),
    };
    await useCatalogue(files, async (catalogue) => {
      const { heightsAmslM, notKnownCells } = await readTerrain(catalogue, WINDOW, ["a", "b"]);
      expect(notKnownCells).toBe(0);
      expect(new Set(heightsAmslM)).toEqual(new Set([70]));
    });
  });
});

describe("a no-data tag that cannot be read is a refusal, as its voids would count as heights", () => {
  const tag = (type: TiffField["type"], values: TiffField["values"], count?: number): TiffField => ({
    tag: 42113,
    type,
    values,
    ...(count !== undefined && { count }),
  });

  it.each<[string, TiffField, RegExp]>([
    ["bytes in place of text, one bit away", tag(3, [48]), /field 42113 has values of type 3, not 2/],
    ["a double", tag(12, [0]), /field 42113 has values of type 12/],
    ["no value, one bit away from one", tag(2, "0", 0), /no-data value "" is not a number/],
    ["only a zero byte", tag(2, ""), /no-data value "" is not a number/],
    ["a hexadecimal number", tag(2, "0x0"), /"0x0" is not a number/],
    ["words", tag(2, "nano"), /"nano" is not a number/],
  ])("%s", async (_what, field, reason) => {
    expect(await reasonOfRefusal({ ...SPEC, fields: [field] })).toMatch(reason);
  });

  it("as are fields out of order, one bit away from another tag", async () => {
    const moved = makeGeoTiff({ ...SPEC, noData: "0" });
    const at = moved.lastIndexOf(Buffer.from([0x81, 0xa4, 2, 0]));
    moved.writeUInt16LE(42113 ^ 0x8000, at);
    await useCatalogue({ "a.tif": moved }, async ({ refused }) => {
      expect(refused[0]?.reason).toMatch(/field 9345 is not in order/);
    });
  });
});

describe("blocks", () => {
  it("that share bytes are a refusal: a small file would hold a large raster", async () => {
    const block = Buffer.alloc(200 * 4 * 100);
    const spec = { ...SPEC, heightPx: 400, rowsPerStrip: 200, blocks: [block, block] };
    const size = block.length;
    expect(await reasonOfRefusal({ ...spec, fields: [long(273, 16, 16), long(279, size, size)] })).toMatch(
      /blocks 0 and 1 share bytes/,
    );
    expect(await reasonOfRefusal({ ...spec, fields: [long(273, 16 + size - 1, 16), long(279, size, size)] })).toMatch(
      /blocks 1 and 0 share bytes/,
    );
    expect(
      await reasonOfRefusal({ ...spec, fields: [long(273, 16 + size, 16), long(279, size, size)] }),
    ).toBeUndefined();
  });

  it("that decode to far more than the file holds are a refusal, missing blocks included", async () => {
    const side = 9000;
    const none = new Array(100).fill(0);
    const sparse: RasterSpec = { ...SPEC, step: 1e-5, tilePx: 16 };
    const fields = [
      long(256, side),
      long(257, side),
      long(322, 3008),
      long(323, 3008),
      long(324, ...none),
      long(325, ...none),
    ];
    expect(await reasonOfRefusal({ ...sparse, fields })).toMatch(/81000000 cells take 324000000 bytes/);
  });

  it("that are compressed and too large for the cache are a refusal, unless there is only one", async () => {
    const fields = [long(256, 2100), long(257, 2100), long(273, 16), long(279, 10), long(278, 2100)];
    const spec: RasterSpec = { ...SPEC, step: 1e-5, compression: "deflate" };
    expect(await reasonOfRefusal({ ...spec, fields })).toBeUndefined();
    const two = [long(256, 2100), long(257, 4200), long(273, 16, 26), long(279, 10, 10), long(278, 2100)];
    expect(await reasonOfRefusal({ ...spec, fields: two })).toMatch(/compressed blocks of 2100 x 2100 cells/);
  });

  it("of over 64 MB are a refusal, as one is decoded at a time", async () => {
    const fields = [long(256, 4096), long(257, 4096), long(278, 4096), long(273, 16), long(279, 1000)];
    expect(await reasonOfRefusal({ ...SPEC, sampleType: "float64", step: 1e-5, fields })).toMatch(/64 MB/);
  });
});

describe("metadata", () => {
  it("is read in linear time, whatever is repeated", async () => {
    for (const part of ['role="unittype"', '<Item role="scale">', "<Item ", "<", '<Item role="scale" x="', ">"]) {
      const text = part.repeat(Math.floor(65_000 / part.length));
      const started = performance.now();
      await reasonOfRefusal({ ...SPEC, fields: [{ tag: 42112, type: 2, values: text }] });
      expect(performance.now() - started, part).toBeLessThan(500);
    }
  });
});

describe("reading", () => {
  it("a window over cells much finer than its own takes seconds, not minutes", async () => {
    const side = 8000;
    const spec: RasterSpec = {
      ...SPEC,
      x: 10.046,
      y: 45.954,
      step: 2e-6,
      tilePx: 16,
      sampleType: "uint8",
      value: () => 9,
    };
    const count = Math.ceil(side / 4000) ** 2;
    const none = new Array(count).fill(0);
    const fields = [
      long(256, side),
      long(257, side),
      long(322, 4000),
      long(323, 4000),
      long(324, ...none),
      long(325, ...none),
    ];
    const far = { ...spec, widthPx: 16, heightPx: 16 };
    const files = {
      "a.tif": makeGeoTiff({ ...spec, fields }),
      "b.tif": makeGeoTiff({ ...far, x: 10.046 - 60_000e-6 }),
      "c.tif": makeGeoTiff({ ...far, y: 45.954 + 60_000e-6 }),
    };
    await useCatalogue(files, async (catalogue) => {
      expect(catalogue.refused).toEqual([]);
      const started = performance.now();
      const { notKnownCells } = await readTerrain(catalogue);
      expect(performance.now() - started).toBeLessThan(5000);
      expect(notKnownCells).toBeGreaterThan(WINDOW.width * WINDOW.height - 10);
    });
  });

  it("ends in typed errors only", async () => {
    const cut = makeGeoTiff({ ...SPEC, fields: [{ tag: 259, type: 3, values: [50000] }] });
    await useCatalogue({ "a.tif": cut }, async (catalogue) => {
      await expect(readTerrain(catalogue)).rejects.toBeInstanceOf(TerrainError);
    });
  });
});
