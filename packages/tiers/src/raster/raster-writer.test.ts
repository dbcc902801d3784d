import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { computeProjectedCellSizeM, countWorldCells } from "@fellmark/geodesy";
import { createSeededRandom, createTempDir, hasCommand, needs, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createRasterWriter, writeRaster } from "./raster-writer.ts";

/** Wider and higher than two tiles, and a multiple of none. */
const WINDOW = { zoom: 12, col0: 312_000, row0: 377_000, width: 600, height: 530 };
const facts = { model: "m-1", name: "north & <south>\u0007" };
const META = { scale: 0.01, offset: 0, unit: "dB", noData: -32768, name: "loss <all>", facts };
const random = createSeededRandom(1);
const VALUES = Int16Array.from({ length: WINDOW.width * WINDOW.height }, () => Math.floor(65_536 * random()) - 32_768);

let dir: TempDir;
beforeAll(() => {
  dir = createTempDir();
});
afterAll(() => dir.remove());

it("gives the same bytes for any strips of the same rows", async () => {
  const whole = await writeRaster(join(dir.path, "whole.tif"), WINDOW, VALUES, META);
  const path = join(dir.path, "strips.tif");
  const writer = await createRasterWriter(path, WINDOW, "int16", META);
  const heights = [1, 300, 64, 165];
  for (let row = 0; row < WINDOW.height; ) {
    const rows = heights.shift() ?? 0;
    await writer.writeRows(row, VALUES.slice(row * WINDOW.width, (row + rows) * WINDOW.width));
    row += rows;
  }
  expect(await writer.close()).toEqual(whole);
  expect(readFileSync(path).length).toBe(whole.bytes);
});

it("refuses rows out of order, of another kind, beyond the end, and a raster without its last rows", async () => {
  const writer = await createRasterWriter(join(dir.path, "bad.tif"), WINDOW, "int16", META);
  const row = new Int16Array(WINDOW.width);
  await expect(writer.writeRows(5, row)).rejects.toThrow("expected row 0, got 5");
  await expect(writer.writeRows(0, new Uint8Array(WINDOW.width))).rejects.toThrow("rows are uint8");
  await expect(writer.writeRows(0, row.subarray(1))).rejects.toThrow("do not fit");
  await expect(writer.close()).rejects.toThrow("rows 0 .. 529 were not written");
  await writer.abort();
  await writer.abort();
});

describe.skipIf(!needs("gdalinfo", hasCommand("gdalinfo")))("as GDAL reads it", () => {
  it("has size, place, projection, no-data, scale, unit and name", async () => {
    const path = join(dir.path, "gdal.tif");
    await writeRaster(path, WINDOW, VALUES, META);
    const info = JSON.parse(execFileSync("gdalinfo", ["-json", path], { encoding: "utf8" }));
    const cell = computeProjectedCellSizeM(WINDOW.zoom);
    const [west, cellEast, , north, , cellSouth] = info.geoTransform;
    expect(info.size).toEqual([600, 530]);
    expect(west).toBeCloseTo((WINDOW.col0 - countWorldCells(12) / 2) * cell, 6);
    expect(north).toBeCloseTo((countWorldCells(12) / 2 - WINDOW.row0) * cell, 6);
    expect([cellEast, -cellSouth]).toEqual([cell, cell]);
    expect(info.coordinateSystem.wkt).toContain('ID["EPSG",3857]]');
    expect(info.metadata.IMAGE_STRUCTURE).toMatchObject({ COMPRESSION: "DEFLATE", PREDICTOR: "2" });
    const [band] = info.bands;
    expect(band).toMatchObject({ type: "Int16", block: [256, 256], noDataValue: -32768, unit: "dB", scale: 0.01 });
    expect(band.description).toBe(META.name);
    expect(info.metadata[""]).toMatchObject({ model: "m-1", name: "north & <south>" });
  });

  it.each([
    ["int16", VALUES],
    ["uint16", Uint16Array.from(VALUES, (value) => value + 32_768)],
    ["uint8", Uint8Array.from(VALUES, (value) => value & 255)],
  ])("has every value of an %s raster", async (kind, values) => {
    const path = join(dir.path, `${kind}.tif`);
    await writeRaster(path, WINDOW, values, { ...META, noData: 7 });
    const flat = join(dir.path, `${kind}.bin`);
    execFileSync("gdal_translate", ["-q", "-of", "ENVI", path, flat]);
    expect(readFileSync(flat).equals(Buffer.from(values.buffer))).toBe(true);
    const at = execFileSync("gdallocationinfo", ["-valonly", path, "599", "529"], { encoding: "utf8" });
    expect(Number(at)).toBe(values.at(-1));
  });
});
