import { closeSync, openSync, renameSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { TerrainError } from "@fellmark/units";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { openMosaic } from "../elevation/mosaic.ts";
import { createFileSource, readIdentity } from "../raster/byte-source.ts";
import { readCells } from "../raster/read-cells.ts";
import { useCatalogue, useFolder } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { openCatalogue } from "./open-catalogue.ts";
import type { TerrainFile } from "./terrain-file.ts";

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

/** Every cell of a file. */
async function cellsOf(file: TerrainFile): Promise<Float32Array> {
  const rect = { col: 0, row: 0, width: file.widthPx, height: file.heightPx };
  const cells = { rect, values: new Float32Array(rect.width * rect.height).fill(Number.NaN) };
  await readCells(file, { col: 0, row: 0 }, cells);
  return cells.values;
}

describe("damaged files", () => {
  const variants = {
    plain: TIFF,
    deflated: makeGeoTiff({ ...SPEC, compression: "deflate" }),
    bytes: makeGeoTiff({ ...SPEC, compression: "deflate", tilePx: 16, sampleType: "uint8" }),
    "big tiles": makeGeoTiff({ ...SPEC, compression: "deflate", tilePx: 16, sampleType: "float64" }),
  };

  it.each(Object.entries(variants))("F20: %s, cut at every 1/32, is refused", async (_what, bytes) => {
    const cuts = Array.from({ length: 32 }, (_, index) => Math.floor((bytes.length * index) / 32));
    const files = Object.fromEntries(cuts.map((cut) => [`${cut}.tif`, bytes.subarray(0, cut)]));
    await useCatalogue(files, ({ files: used, refused }) => {
      expect(used).toEqual([]);
      expect(refused).toHaveLength(32);
    });
  });

  it("F20: cut after it was opened, it is an error", async () => {
    await useFolder({ "a.tif": TIFF }, async (path) => {
      const catalogue = await openCatalogue(path);
      writeFileSync(join(path, "a.tif"), TIFF.subarray(0, 2000));
      const opening = openMosaic(catalogue, ["default"], [10, 45.6, 10.3, 46]);
      await expect(opening).rejects.toMatchObject({ code: "source_changed" });
    });
  });

  it("F22: overwritten with as many bytes and the old time after it was opened, it is an error", async () => {
    await useFolder({ "a.tif": TIFF }, async (path) => {
      const file = join(path, "a.tif");
      utimesSync(file, 1e9, 1e9);
      const catalogue = await openCatalogue(path);
      writeFileSync(file, makeGeoTiff({ ...SPEC, value: () => 0 }));
      utimesSync(file, 1e9, 1e9);
      const opening = openMosaic(catalogue, ["default"], [10, 45.6, 10.3, 46]);
      await expect(opening).rejects.toMatchObject({ code: "source_changed" });
      expect((await openCatalogue(path)).fingerprint).not.toBe(catalogue.fingerprint);
    });
  });

  it("F22: overwritten while it is read, it is an error and no mix of both", async () => {
    await useFolder({ "a.tif": TIFF }, (path) => {
      const file = join(path, "a.tif");
      const fd = openSync(file, "r");
      const source = createFileSource(fd, readIdentity(fd));
      expect(source.read(0, 100)).toEqual(TIFF.subarray(0, 100));
      writeFileSync(file, TIFF);
      expect(() => source.read(100, 100)).toThrow(/changed while it was read/);
      closeSync(fd);
    });
  });

  it("F22: replaced while it is read, it ends as source_changed", async () => {
    await useFolder({ "a.tif": TIFF, "b.tif": makeGeoTiff({ ...SPEC, x: 50 }) }, (path) => {
      const file = join(path, "a.tif");
      const fd = openSync(file, "r");
      const source = createFileSource(fd, readIdentity(fd));
      renameSync(join(path, "b.tif"), file);
      expect(() => source.read(0, 100)).toThrow(/changed while it was read/);
      closeSync(fd);
    });
  });

  it("F21: a flipped bit among the cells gives equal heights or a typed error, elsewhere another fingerprint", async () => {
    const bytes = variants.deflated;
    const endOfBlocks = bytes.readUInt32LE(4);
    const flips = fc.sample(fc.integer({ min: 0, max: bytes.length * 8 - 1 }), { numRuns: 300, seed: 21 });
    const files: Record<string, Buffer> = { "whole.tif": bytes };
    for (const bit of flips) {
      const flipped = Buffer.from(bytes);
      flipped[bit >> 3] = (flipped[bit >> 3] as number) ^ (1 << (bit & 7));
      files[`${bit}.tif`] = flipped;
    }
    await useCatalogue(files, async (catalogue) => {
      expect(catalogue.files.length + catalogue.refused.length).toBe(Object.keys(files).length);
      const whole = catalogue.files.find(({ name }) => name === "whole.tif") as TerrainFile;
      const expected = await cellsOf(whole);
      let damaged = 0;
      for (const file of catalogue.files) {
        const cells = await cellsOf(file).catch((error) => (error instanceof TerrainError ? undefined : error));
        if (cells === undefined) damaged++;
        else if (Number.parseInt(file.name, 10) >> 3 < endOfBlocks) expect(cells).toEqual(expected);
        else if (file !== whole) expect(file.sha256).not.toBe(whole.sha256);
      }
      expect(damaged).toBeGreaterThan(50);
    });
  });

  it("a block that inflates too far, or not far enough, is an error and not zeros", async () => {
    const spec: RasterSpec = {
      ...SPEC,
      step: 0.001,
      widthPx: 64,
      heightPx: 64,
      compression: "deflate",
      value: () => 0,
    };
    for (const rows of [8, 4000]) {
      const grown = makeGeoTiff({
        ...spec,
        fields: [
          { tag: 257, type: 4, values: [rows * 4] },
          { tag: 278, type: 4, values: [rows] },
        ],
      });
      await useCatalogue({ "a.tif": grown }, async (catalogue) => {
        expect(catalogue.refused).toEqual([]);
        const opening = openMosaic(catalogue, ["default"], [10, 30, 11, 46]);
        await expect(opening).rejects.toBeInstanceOf(TerrainError);
        await expect(opening).rejects.toThrow(/a\.tif: a block/);
      });
    }
  });
});
