import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { computeProjectedCellSizeM, countWorldCells, findCrs, fitWindow, type LatticeWindow } from "@fellmark/geodesy";
import { openCatalogue, openMosaic, readWindow, type TerrainCatalogue, type TerrainFile } from "@fellmark/terrain";
import { createTempDir, needsShared, sharedDir } from "@fellmark/testkit";
import { afterAll, describe, expect, it } from "vitest";
import { gdal, gdalValues, needsGdal } from "./gdal.ts";

const scratch = createTempDir("fellmark-gdal-");
afterAll(() => scratch.remove());

const terrain = (...path: string[]) => join(sharedDir, "terrain", ...path);
const only = (catalogue: TerrainCatalogue, file: TerrainFile): TerrainCatalogue => ({ ...catalogue, files: [file] });

/** Cells whose value differs from the expected ones; `voids` are the values that stand for "not known". */
async function cellsUnlike(
  catalogue: TerrainCatalogue,
  file: TerrainFile,
  expected: Float64Array,
  voids: number[],
): Promise<number> {
  const { x0, y0, stepX, stepY, widthPx, heightPx } = file.header.grid;
  const { unproject } = findCrs(file.crs);
  const mosaic = await openMosaic(only(catalogue, file), [file.set], file.bbox);
  let unlike = 0;
  for (let cell = 0; cell < widthPx * heightPx; cell++) {
    const [lon, lat] = unproject(x0 + (cell % widthPx) * stepX, y0 - Math.floor(cell / widthPx) * stepY);
    const value = expected[cell] as number;
    const want = voids.includes(value) ? Number.NaN : Math.fround(value);
    if (!Object.is(mosaic.findNearestCellAmslM(lon, lat), want)) unlike++;
  }
  expect(expected).toHaveLength(widthPx * heightPx);
  return unlike;
}

const valuesBin = join(scratch.path, "values.bin");

const TYPES = {
  Byte: ["1", "2"],
  Int16: ["1", "2"],
  UInt16: ["1", "2"],
  Float32: ["1", "2", "3"],
  Float64: ["1", "2", "3"],
};

/** GDAL's creation options for every compression and predictor of a type; each byte order in turn. */
function encodings(type: keyof typeof TYPES, firstOrder: 0 | 1): Record<string, string[]> {
  const made: Record<string, string[]> = {};
  for (const compression of ["NONE", "LZW", "DEFLATE", "PACKBITS", "ZSTD"]) {
    for (const predictor of ["NONE", "PACKBITS"].includes(compression) ? ["1"] : TYPES[type]) {
      const isBig = (Object.keys(made).length + firstOrder) % 2 === 1;
      const order = isBig ? ["ENDIANNESS=BIG", "BIGTIFF=YES"] : ["ENDIANNESS=LITTLE", "BIGTIFF=NO"];
      const difference = predictor === "1" ? [] : [`PREDICTOR=${predictor}`];
      made[`${compression}-${predictor}-${isBig ? "big" : "little"}.tif`] = [
        `COMPRESS=${compression}`,
        ...difference,
        ...order,
      ];
    }
  }
  return made;
}

describe.skipIf(!needsGdal() || !needsShared())("every cell equals GDAL's reading", () => {
  it.each(["dem", "variants", "companions"])("of ../shared/terrain/%s", async (folder) => {
    const catalogue = await openCatalogue(terrain(folder));
    const plain = catalogue.files.filter(({ format }) => format !== "hgt-zip");
    expect(plain.length).toBeGreaterThan(2);
    for (const file of plain) {
      const expected = gdalValues(file.path, valuesBin);
      const noData = file.header.noData ?? Number.NaN;
      expect(await cellsUnlike(catalogue, file, expected, [noData]), file.name).toBe(0);
    }
  });

  const layouts = [
    { layout: "strips", shape: ["BLOCKYSIZE=7"], firstOrder: 0 as const },
    { layout: "tiles", shape: ["TILED=YES", "BLOCKXSIZE=32", "BLOCKYSIZE=48"], firstOrder: 1 as const },
  ];
  const types = Object.keys(TYPES) as (keyof typeof TYPES)[];
  const rows = layouts.flatMap((layout) => types.map((type) => ({ ...layout, type })));

  it.each(rows)(
    "of $type in $layout, by every compression and predictor",
    async ({ layout, shape, firstOrder, type }) => {
      const folder = join(scratch.path, `${layout}-${type}`);
      mkdirSync(folder);
      const source = terrain("variants/crop_int16_strip_none_point.tif");
      // A part that no block divides, in quarters of a metre where the type has them.
      const part = ["-srcwin", "20", "30", "101", "77", "-ot", type];
      const scale = type.startsWith("Float") ? ["-scale", "0", "1000", "0", "250"] : [];
      for (const [name, options] of Object.entries(encodings(type, firstOrder))) {
        const creation = [...options, ...shape].flatMap((option) => ["-co", option]);
        gdal("gdal_translate", ["-q", ...part, ...scale, ...creation, source, join(folder, name)]);
      }
      const catalogue = await openCatalogue(folder);
      expect(catalogue.refused).toEqual([]);
      expect(catalogue.files).toHaveLength(type.startsWith("Float") ? 11 : 8);
      for (const file of catalogue.files) {
        // Not the source's values: big-endian files with predictor 3 come out of this GDAL with their bytes in disorder.
        const expected = gdalValues(file.path, valuesBin);
        expect(await cellsUnlike(catalogue, file, expected, [-32768]), file.name).toBe(0);
      }
    },
  );

  it("except where a block is left out: not known, although GDAL gives 0", async () => {
    const folder = join(scratch.path, "sparse");
    mkdirSync(folder);
    const options = ["TILED=YES", "BLOCKXSIZE=64", "BLOCKYSIZE=64", "SPARSE_OK=TRUE"].flatMap((each) => ["-co", each]);
    const sparse = ["-a_srs", "EPSG:4326", "-a_ullr", "10", "46", "10.1", "45.9"];
    gdal("gdal_create", ["-q", "-outsize", "128", "128", "-ot", "Int16", ...sparse, ...options, join(folder, "a.tif")]);
    const catalogue = await openCatalogue(folder);
    const mosaic = await openMosaic(catalogue, ["default"], [10, 45.9, 10.1, 46]);
    expect(mosaic.filesUsed).toHaveLength(1);
    expect(mosaic.findHeightAmslM(10.05, 45.95)).toBeNaN();
  });
});

/** The window as gdalwarp fills it, by exact transformation and bilinear interpolation. */
function warped(window: LatticeWindow, sources: string[]): Float64Array {
  const vrt = join(scratch.path, "mosaic.vrt");
  const tif = join(scratch.path, "warped.tif");
  const cell = computeProjectedCellSizeM(window.zoom);
  const x = (column: number) => (column - countWorldCells(window.zoom) / 2) * cell;
  const y = (row: number) => (countWorldCells(window.zoom) / 2 - row) * cell;
  const { col0, row0, width, height } = window;
  gdal("gdalbuildvrt", ["-q", "-overwrite", vrt, ...sources]);
  const extent = [x(col0), y(row0 + height), x(col0 + width), y(row0)].map((each) => each.toFixed(9));
  const size = ["-ts", String(width), String(height)];
  const options = ["-q", "-overwrite", "-r", "bilinear", "-et", "0", "-ot", "Float32", "-dstnodata", "-9999"];
  gdal("gdalwarp", [...options, "-t_srs", "EPSG:3857", "-te", ...extent, ...size, vrt, tif]);
  return gdalValues(tif, join(scratch.path, "warped.bin"));
}

describe.skipIf(!needsGdal() || !needsShared())("a window equals gdalwarp's bilinear one", () => {
  const w7 = ["w77.0_n40.5.tif", "w76.75_n40.5.tif", "w77.0_n40.75.tif", "w76.75_n40.75.tif"];

  it.each([
    { what: "four tiles that abut", names: w7, lon: -76.7488, lat: 40.7763, zoom: 13 },
    { what: "3 arc seconds, pixel-is-point", names: ["N44W072.hgt"], lon: -71.5, lat: 44.5, zoom: 12 },
    { what: "UTM", names: ["srtm_bigtujunga30m_utm11.tif"], lon: -118.15, lat: 34.32, zoom: 13 },
    { what: "tiles that share a column", names: ["N00E010.hgt", "N00E011.hgt"], lon: 11, lat: 0.5, zoom: 12 },
  ])("$what", async ({ names, lon, lat, zoom }) => {
    const catalogue = await openCatalogue(terrain("dem"));
    const files = catalogue.files.filter(({ name }) => names.includes(name));
    const window = fitWindow([{ lon, lat }], 6000, zoom);
    const { heightsAmslM, notKnownCells } = await readWindow({ ...catalogue, files }, ["default"], window, {
      fillVoids: false,
    });
    const expected = warped(
      window,
      files.map(({ path }) => path),
    );
    let worstM = 0;
    for (let cell = 0; cell < expected.length; cell++) {
      worstM = Math.max(worstM, Math.abs((heightsAmslM[cell] as number) - (expected[cell] as number)));
    }
    expect(notKnownCells).toBe(0);
    expect(worstM).toBeLessThan(0.05);
  });
});
