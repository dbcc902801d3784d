import { mkdirSync, renameSync, symlinkSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { crc32, deflateRawSync } from "node:zlib";
import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { openMosaic } from "../elevation/mosaic.ts";
import { useCatalogue, useFolder } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { openCatalogue, selectElevationFiles } from "./open-catalogue.ts";

const SPEC: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.01,
  widthPx: 33,
  heightPx: 40,
  sampleType: "int16",
  value: (column, row) => 100 + column + 3 * row,
};
const TIFF = makeGeoTiff(SPEC);

/** A 3" tile; heights are the row number. */
function hgt(): Buffer {
  const tile = Buffer.alloc(2 * 1201 * 1201);
  for (let cell = 0; cell < 1201 * 1201; cell++) tile.writeInt16BE(Math.floor(cell / 1201), 2 * cell);
  return tile;
}

/** A zip file of one deflated entry. Source: PKWARE APPNOTE 6.3.10, sections 4.3.7, 4.3.12 and 4.3.16. */
function zip(name: string, content: Buffer, crc = crc32(content)): Buffer {
  const packed = deflateRawSync(content);
  const common = Buffer.alloc(26);
  common.writeUInt16LE(20, 0);
  common.writeUInt16LE(8, 4);
  common.writeUInt32LE(crc, 10);
  common.writeUInt32LE(packed.length, 14);
  common.writeUInt32LE(content.length, 18);
  common.writeUInt16LE(name.length, 22);
  const local = Buffer.concat([Buffer.from("PK\x03\x04"), common, Buffer.from(name), packed]);
  const central = Buffer.concat([Buffer.from("PK\x01\x02\x14\0"), common, Buffer.alloc(14), Buffer.from(name)]);
  const end = Buffer.alloc(22);
  end.write("PK\x05\x06", 0, "latin1");
  end.writeUInt16LE(1, 8);
  end.writeUInt16LE(1, 10);
  end.writeUInt32LE(central.length, 12);
  end.writeUInt32LE(local.length, 16);
  return Buffer.concat([local, central, end]);
}

const reasons = (files: Record<string, Buffer | string>) =>
  useCatalogue(files, ({ refused }) => Object.fromEntries(refused.map(({ name, reason }) => [name, reason])));

describe("a folder", () => {
  it("is one set of unknown kind without terrain.json", async () => {
    await useCatalogue({ "a.tif": TIFF, ".hidden": "x", "notes/readme.md": "x" }, ({ files, sets, refused }) => {
      expect(sets).toEqual([{ name: "default", path: ".", kind: "unknown" }]);
      expect(refused).toEqual([]);
      expect(files).toMatchObject([
        { name: "a.tif", set: "default", widthPx: 33, heightPx: 40, crs: 4326, pixelIs: "area" },
      ]);
      const { bbox, resolutionM } = files[0] as (typeof files)[0];
      expect(bbox.map((degrees) => degrees.toFixed(6))).toEqual(["10.000000", "45.600000", "10.330000", "46.000000"]);
      // A hundredth of the meridian's degree at 45.8 degrees, 111.147 km (geographiclib).
      expect(resolutionM).toBeCloseTo(1111.5, 0);
    });
  });

  it("names what it does not read, and why", async () => {
    expect(
      await reasons({ "a.asc": "ncols 2", "b.TIF": "nonsense", "c.hgt": hgt(), "N10E010.hgt": "short", README: "" }),
    ).toEqual({
      "a.asc": ".asc is not read; use .hgt, .hgt.zip, .tif or .tiff",
      "b.TIF": "not a TIFF file",
      "c.hgt": "the name does not give the corner, as in N44W072.hgt",
      "N10E010.hgt": "5 bytes, but a tile has 2884802 or 25934402",
      README: "a name without ending is not read; use .hgt, .hgt.zip, .tif or .tiff",
    });
  });

  it("must be there", async () => {
    await expect(openCatalogue("/nowhere/at/all")).rejects.toMatchObject({ code: "terrain_dir_missing" });
  });

  it("opens at once the second time", async () => {
    await useFolder({ "a.tif": TIFF }, async (path) => {
      const first = await openCatalogue(path);
      const again = await openCatalogue(path);
      expect(again.files[0]?.header).toBe(first.files[0]?.header);
      writeFileSync(join(path, "a.tif"), makeGeoTiff({ ...SPEC, x: 11 }));
      expect((await openCatalogue(path)).files[0]?.bbox[0]).toBeCloseTo(11, 9);
    });
  });
});

const sets = (...list: object[]) => JSON.stringify({ version: 1, sets: list });

describe("a raster around a pole", () => {
  it("reaches up to it on every side", async () => {
    // Polar stereographic, true at 70 degrees north: 96 x 96 cells of 15 km around the pole.
    const codes = [1024, 0, 1, 1, 2048, 0, 1, 4326, 3072, 0, 1, 32767, 3075, 0, 1, 15];
    const doubles = [3081, 34736, 1, 0, 3095, 34736, 1, 1];
    const polar = makeGeoTiff({
      ...SPEC,
      x: -720_000,
      y: 720_000,
      step: 15_000,
      widthPx: 96,
      heightPx: 96,
      value: (column, row) => column + 100 * row,
      fields: [
        { tag: 34735, type: 3, values: [1, 1, 0, 6, ...codes, ...doubles] },
        { tag: 34736, type: 12, values: [70, -45] },
      ],
    });
    await useCatalogue({ "a.tif": polar }, async (catalogue) => {
      const [west, south, east, north] = (catalogue.files[0] as (typeof catalogue.files)[0]).bbox;
      expect([east - west, north]).toEqual([360, 90]);
      expect(south).toBeLessThan(81);
      const mosaic = await openMosaic(catalogue, ["default"], [-180, 84, 180, 84.9]);
      // 5.5 degrees from the pole is 596 240 m (PROJ), here a little east of the meridian on either side of it.
      expect(mosaic.findNearestCellAmslM(-44, 84.5)).toBe(48 + 100 * 87);
      expect(mosaic.findNearestCellAmslM(134, 84.5)).toBe(48 + 100 * 8);
    });
  });
});

describe("sets", () => {
  it("of other kinds are not elevation", async () => {
    const files = {
      "terrain.json": sets(
        { name: "bare", path: ".", kind: "bare" },
        { name: "cover", path: "cover", kind: "land-cover", legend: "corine" },
      ),
      "cover/a.tif": makeGeoTiff({ ...SPEC, sampleType: "uint8", value: () => 23 }),
    };
    await useCatalogue(files, (catalogue) => {
      expect(catalogue.sets[1]).toEqual({ name: "cover", path: "cover", kind: "land-cover", legend: "corine" });
      expect(() => selectElevationFiles(catalogue, ["bare", "cover"])).toThrow(
        /\/terrain\/sets\/1: .*holds land-cover, not elevation/,
      );
    });
  });

  it("have their own folders and kinds, and come in the order asked for", async () => {
    const files = {
      "terrain.json": sets(
        { name: "wide", path: ".", kind: "unknown" },
        { name: "lidar", path: "fine/a", kind: "bare" },
      ),
      "w.tif": TIFF,
      "fine/a/2.tif": TIFF,
      "fine/a/1.tif": TIFF,
      "fine/a/0.tif": makeGeoTiff({ ...SPEC, step: 0.02 }),
    };
    await useCatalogue(files, (catalogue) => {
      const names = (...asked: string[]) => selectElevationFiles(catalogue, asked).map(({ name }) => name);
      expect(names("wide", "lidar")).toEqual(["w.tif", "fine/a/1.tif", "fine/a/2.tif", "fine/a/0.tif"]);
      expect(names("lidar")).toEqual(["fine/a/1.tif", "fine/a/2.tif", "fine/a/0.tif"]);
      expect(selectElevationFiles(catalogue, ["lidar"])[0]?.kind).toBe("bare");
      expect(() => names("wide", "sonar")).toThrow(InputError);
      expect(() => names("wide", "sonar")).toThrow(/\/terrain\/sets\/1: there is no terrain set sonar/);
    });
  });

  it.each<[string, string, RegExp]>([
    ["no JSON", "{", /JSON/],
    ["another version", '{"version":2,"sets":[]}', /version must be 1/],
    ["no set", sets(), /one or more/],
    ["an unknown key", sets({ name: "a", path: ".", kind: "bare", datum: "x" }), /unknown key "datum"/],
    ["a legend of heights", sets({ name: "a", path: ".", kind: "canopy", legend: "corine" }), /only land-cover has a/],
    [
      "an unknown legend",
      sets({ name: "a", path: ".", kind: "land-cover", legend: "x" }),
      /one of nlcd-2011, worldcover/,
    ],
    ["a legend by birth", sets({ name: "a", path: ".", kind: "land-cover", legend: "toString" }), /legend must be one/],
    ["an unknown kind", sets({ name: "a", path: ".", kind: "naked" }), /kind must be/],
    [
      "one name twice",
      sets({ name: "a", path: ".", kind: "bare" }, { name: "a", path: ".", kind: "bare" }),
      /two sets/,
    ],
    ["a way out", sets({ name: "a", path: "..", kind: "bare" }), /not a folder inside/],
    ["an absolute path", sets({ name: "a", path: "/../..", kind: "bare" }), /not a folder inside/],
    ["a folder that is not there", sets({ name: "a", path: "b", kind: "bare" }), /not a folder inside/],
    ["a file", sets({ name: "a", path: "terrain.json", kind: "bare" }), /not a folder/],
  ])("refuses %s", async (_what, text, reason) => {
    await useFolder({ "terrain.json": text }, async (path) => {
      await expect(openCatalogue(path)).rejects.toMatchObject({ code: "terrain_sets_invalid" });
      await expect(openCatalogue(path)).rejects.toThrow(reason);
    });
  });

  it("stay inside, also through links", async () => {
    await useFolder({ "secret/a.tif": TIFF, "terrain/b.tif": TIFF }, async (path) => {
      symlinkSync(join(path, "secret/a.tif"), join(path, "terrain/out.tif"));
      symlinkSync(join(path, "terrain/b.tif"), join(path, "terrain/in.tif"));
      symlinkSync(join(path, "nowhere.tif"), join(path, "terrain/dead.tif"));
      const { files, refused } = await openCatalogue(join(path, "terrain"));
      expect(files.map(({ name }) => name)).toEqual(["b.tif", "in.tif"]);
      expect(refused.map(({ name }) => name)).toEqual(["dead.tif", "out.tif"]);
      symlinkSync(join(path, "secret"), join(path, "terrain/sub"));
      writeFileSync(join(path, "terrain/terrain.json"), sets({ name: "a", path: "sub", kind: "bare" }));
      await expect(openCatalogue(join(path, "terrain"))).rejects.toThrow(/not a folder inside/);
    });
  });
});

describe("the fingerprint", () => {
  it("depends on content, name, set, kind and legend, and on nothing else", async () => {
    await useFolder({ "a.tif": TIFF }, async (path) => {
      const print = async () => (await openCatalogue(path)).fingerprint;
      const first = await print();
      utimesSync(join(path, "a.tif"), 1e9, 1e9);
      writeFileSync(join(path, "z.asc"), "refused");
      expect(await print()).toBe(first);
      const seen = new Set([first]);
      renameSync(join(path, "a.tif"), join(path, "b.tif"));
      seen.add(await print());
      writeFileSync(join(path, "b.tif"), makeGeoTiff({ ...SPEC, value: () => 1 }));
      seen.add(await print());
      writeFileSync(join(path, "terrain.json"), '{"version":1,"sets":[{"name":"default","path":".","kind":"bare"}]}');
      seen.add(await print());
      const asCover = (legend: string) => sets({ name: "default", path: ".", kind: "land-cover", legend });
      for (const legend of ["corine", "lc100"]) {
        writeFileSync(join(path, "terrain.json"), asCover(legend));
        seen.add(await print());
      }
      mkdirSync(join(path, "sub"));
      expect(seen.size).toBe(6);
    });
  });
});

describe("a zipped tile", () => {
  it("is read like a plain one", async () => {
    await useCatalogue(
      { "N46E007.hgt": hgt(), "N46E008.SRTM.hgt.zip": zip("N46E008.hgt", hgt()) },
      async (catalogue) => {
        expect(catalogue.refused).toEqual([]);
        const mosaic = await openMosaic(catalogue, ["default"], [7.5, 46.2, 8.5, 46.8]);
        expect(mosaic.findHeightAmslM(8.25, 46.75)).toBe(300);
        expect(mosaic.findHeightAmslM(7.75, 46.75)).toBe(300);
      },
    );
  });

  it("must hold that tile, alone and whole", async () => {
    const refused = await reasons({
      "N01E001.hgt.zip": zip("N01E002.hgt", hgt()),
      "N01E002.hgt.zip": zip("../N01E002.hgt", hgt()),
      "N01E003.hgt.zip": zip("N01E003.hgt", Buffer.alloc(30_000_000)),
      "N01E004.hgt.zip": Buffer.from("PK"),
      "N01E005.hgt.zip": zip("N01E005.hgt", hgt()).subarray(0, 2000),
    });
    expect(Object.keys(refused)).toHaveLength(5);
    expect(refused["N01E001.hgt.zip"]).toMatch(/must hold N01E001.hgt, not "N01E002.hgt"/);
    expect(refused["N01E003.hgt.zip"]).toMatch(/30000000 bytes is not the size of a tile/);
  });

  it("is checked against its CRC", async () => {
    await useCatalogue({ "N01E001.hgt.zip": zip("N01E001.hgt", hgt(), 1) }, async (catalogue) => {
      const opening = openMosaic(catalogue, ["default"], [1.2, 1.2, 1.3, 1.3]);
      await expect(opening).rejects.toMatchObject({ code: "raster_corrupt" });
    });
  });
});
