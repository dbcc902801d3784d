import { TerrainError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createMemorySource } from "../raster/byte-source.ts";
import { HEADER_BYTES, makeGeoTiff, type RasterSpec, type TiffField, writeTiff } from "../testing/tiff-maker.ts";
import { readTiffHeader } from "./tiff-header.ts";

const SPEC: RasterSpec = {
  epsg: 4326,
  x: -72,
  y: 45,
  step: 0.25,
  widthPx: 40,
  heightPx: 40,
  value: (column, row) => column + row,
};

const header = (bytes: Buffer) => readTiffHeader(createMemorySource(bytes));
const withFields = (...fields: TiffField[]) => makeGeoTiff({ ...SPEC, fields });
const short = (tag: number, ...values: number[]): TiffField => ({ tag, type: 3, values });
const long = (tag: number, ...values: number[]): TiffField => ({ tag, type: 4, values });
const double = (tag: number, ...values: number[]): TiffField => ({ tag, type: 12, values });
const text = (tag: number, values: string): TiffField => ({ tag, type: 2, values });
const geoKeys = (...keys: [number, number][]) =>
  short(34735, 1, 1, 0, keys.length, ...keys.flatMap(([key, value]) => [key, 0, 1, value]));

describe("a sound file", () => {
  it("gives the centres of its cells, half a cell apart between area and point (OGC 19-008r4, 7.1.2)", async () => {
    const area = await header(makeGeoTiff(SPEC));
    expect(area.grid).toMatchObject({ x0: -71.875, y0: 44.875, stepX: 0.25, stepY: 0.25 });
    const point = await header(makeGeoTiff({ ...SPEC, pixelIs: "point" }));
    expect(point.grid).toMatchObject({ x0: -72, y0: 45 });
  });

  it("counts a tie point from its own cell", async () => {
    const { grid } = await header(withFields(double(33922, 4, 8, 0, -71, 43, 0)));
    expect(grid).toMatchObject({ x0: -71.875, y0: 44.875 });
  });

  it("takes a matrix without rotation", async () => {
    const matrix = [0.25, 0, 0, -72, 0, -0.25, 0, 45, 0, 0, 0, 0, 0, 0, 0, 1];
    const { grid } = await header(makeGeoTiff(SPEC));
    expect(await header(withFields(double(34264, ...matrix)))).toMatchObject({ grid });
  });

  it.each([
    ["-32768", -32768],
    ["nan", Number.NaN],
    [" -9999 ", -9999],
    ["-3.4028234663852886e+38", -3.4028234663852886e38],
  ])("reads no data %j", async (noData, value) => {
    expect((await header(makeGeoTiff({ ...SPEC, noData }))).noData).toBe(value);
  });

  it("may declare metres", async () => {
    const metadata = '<GDALMetadata>\n  <Item name="UNITTYPE" sample="0" role="unittype">m</Item>\n</GDALMetadata>';
    expect((await header(withFields(text(42112, metadata)))).format).toBe("geotiff");
  });
});

describe("refused by name", () => {
  it.each<[string, TiffField, RegExp]>([
    ["a user-defined reference system", geoKeys([1024, 1], [3072, 32767]), /user-defined/],
    ["a reference system off the list", geoKeys([1024, 1], [3072, 2154]), /EPSG:2154 is not a supported/],
    ["no reference system", geoKeys([1024, 3]), /neither projected nor geographic/],
    [
      "the wrong unit across",
      geoKeys([1024, 1], [3072, 32619], [3076, 9003]),
      /unit 9003 is not the one of EPSG:32619/,
    ],
    ["metres where the system has feet", geoKeys([1024, 1], [3072, 5646], [3076, 9001]), /unit 9001/],
    ["heights in feet", geoKeys([1024, 2], [2048, 4326], [4099, 9002]), /not in metres/],
    ["a height system in feet", geoKeys([1024, 2], [2048, 4326], [4096, 6360]), /not in metres \(vertical unit feet/],
    ["feet in the metadata", text(42112, '<Item sample="0" role="unittype">ft</Item>'), /unittype "ft"/],
    ["scaled heights", text(42112, '<Item name="SCALE" sample="0" role="scale">0.1</Item>'), /scale "0.1"/],
    ["rotation", double(34264, 1, 0.1, 0, 0, 0, -1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1), /rotated/],
    ["upside down", double(33550, 0.25, -0.25, 0), /north to south/],
    ["many tie points", double(33922, 0, 0, 0, 0, 0, 0, 1, 1, 0, 1, 1, 0), /33922/],
    ["a position that is not a number", double(33922, 0, 0, 0, Number.NaN, 45, 0), /not a number/],
    ["three bands", short(277, 3), /more than one band/],
    ["floats of 8 bits", short(258, 8), /8 bits in format 3/],
    ["half bytes", short(258, 4), /4 bits in format 3/],
    ["complex values", short(339, 6), /format 6/],
    ["JPEG", short(259, 7), /compression 7/],
    ["an unknown predictor", short(317, 4), /predictor 4/],
    ["another orientation", short(274, 4), /first row/],
    ["a no-data value of words", text(42113, "none"), /"none" is not a number/],
  ])("%s", async (_what, field, reason) => {
    await expect(header(withFields(field))).rejects.toThrow(reason);
  });

  it("signed bytes, which are neither codes nor heights of use", async () => {
    await expect(header(makeGeoTiff({ ...SPEC, sampleType: "int8" }))).rejects.toThrow(
      /8 bits in format 2 are not uint8, int16/,
    );
    expect((await header(makeGeoTiff({ ...SPEC, sampleType: "uint8" }))).blocks.sampleType).toBe("uint8");
  });

  it("a mask beside the image", async () => {
    const image = makeGeoTiff(SPEC);
    expect((await header(image)).format).toBe("geotiff");
    const masked = writeTiff({ directories: [[long(256, 1)], [long(254, 4), long(256, 1)]] });
    await expect(header(masked)).rejects.toThrow(/internal mask/);
  });

  it("what is not a TIFF at all", async () => {
    await expect(header(Buffer.from("ncols 10\nnrows 10\n"))).rejects.toThrow(/not a TIFF/);
    await expect(header(Buffer.from("II"))).rejects.toBeInstanceOf(TerrainError);
    await expect(header(Buffer.from("II*\0\0\0\0\0"))).rejects.toThrow(/no directory/);
  });
});

/** F25: each must be refused before memory is taken for it, within a second. */
describe("hostile structure", () => {
  const many = (count: number) => Array.from({ length: count }, () => [long(256, 1)]);

  it.each<[string, () => Buffer, RegExp]>([
    ["a chain of directories in a circle", () => writeTiff({ directories: many(2), next: [1, 0] }), /circle/],
    ["a directory that follows itself", () => writeTiff({ directories: many(1), next: [0] }), /circle/],
    ["60,000 directories", () => writeTiff({ directories: many(60_000) }), /more than 64 directories/],
    ["a field of 2^32 - 1 values", () => withFields({ ...long(273, 1), count: 2 ** 32 - 1 }), /outside the file/],
    ["values beyond the end", () => withFields({ ...double(33922, 0, 0, 0, -72, 45, 0), at: 1e9 }), /outside the file/],
    [
      "bytes too many in a block of bytes",
      () => withFields(short(258, 8), short(339, 1), long(279, 5000, 64, 32)),
      /block 0 takes 5000/,
    ],
    [
      "10^6 x 10^6 bytes",
      () => withFields(short(258, 8), short(339, 1), long(256, 1e6), long(257, 1e6)),
      /1000000 cells/,
    ],
    ["10^6 x 10^6 cells", () => withFields(long(256, 1e6), long(257, 1e6)), /1000000 x 1000000 cells/],
    ["no columns", () => withFields(long(256, 0)), /0 x 40 cells/],
    ["tiles of 2^30", () => withFields(long(322, 2 ** 30), long(323, 2 ** 30)), /tiles of 1073741824/],
    ["tiles of no width", () => withFields(long(322, 0), long(323, 16)), /tiles of 0/],
    ["a block beyond the end", () => withFields(long(273, 16, 32, 1e9)), /block 2 lies outside/],
    ["a block in the header", () => withFields(long(273, 0, 32, 64)), /block 0 lies outside/],
    ["a block far too long", () => withFields(long(256, 1), long(279, 6000, 64, 32)), /block 0 takes 6000/],
    ["too few blocks", () => withFields(long(273, 16, 32)), /lists 2 block offsets and 3 lengths; its size needs 3/],
    [
      "strips too tall",
      () => withFields(long(256, 20_000), long(257, 20_000), long(278, 20_000)),
      /strips of 20000 rows/,
    ],
    ["a directory of 65,535 fields", () => Buffer.from("II*\0\x08\0\0\0\xff\xff", "latin1"), /65535 fields/],
  ])("%s", async (_what, make, reason) => {
    const bytes = make();
    const before = process.memoryUsage().rss;
    const started = performance.now();
    await expect(header(bytes)).rejects.toThrow(reason);
    expect(performance.now() - started).toBeLessThan(1000);
    expect(process.memoryUsage().rss - before).toBeLessThan(50e6);
  });

  it("BigTIFF with sizes beyond any file", async () => {
    const bytes = writeTiff({ big: true, directories: [[{ tag: 256, type: 16, values: [1, 2], count: 2 ** 60 }]] });
    await expect(header(bytes)).rejects.toThrow(/outside the file/);
    await expect(header(bytes.subarray(0, HEADER_BYTES))).rejects.toBeInstanceOf(TerrainError);
  });
});
