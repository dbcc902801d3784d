import { TerrainError, TransientError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createMemorySource } from "../raster/byte-source.ts";
import { readCells } from "../raster/read-cells.ts";
import { useCatalogue } from "../testing/terrain-folder.ts";
import { makeGeoTiff, type RasterSpec } from "../testing/tiff-maker.ts";
import { readTiffHeader } from "./tiff-header.ts";
import { openTiffImage, readTiffBlock, wrapErrors } from "./tiff-image.ts";

const SPEC: RasterSpec = {
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.01,
  widthPx: 4,
  heightPx: 3,
  sampleType: "int16",
  littleEndian: false,
  value: () => 0,
};

/** Every cell of a file, as the catalogue reads it. */
function cellsOf(bytes: Buffer): Promise<number[]> {
  return useCatalogue({ "a.tif": bytes }, async ({ files: [file], refused }) => {
    expect(refused).toEqual([]);
    if (!file) throw new Error("the file was refused");
    const rect = { col: 0, row: 0, width: file.widthPx, height: file.heightPx };
    const values = new Float32Array(rect.width * rect.height).fill(Number.NaN);
    await readCells(file, { col: 0, row: 0 }, { rect, values });
    return [...values];
  });
}

/** Bytes of big-endian whole numbers of 16 bits. */
function int16(...values: number[]): Buffer {
  return Buffer.from(values.flatMap((value) => [(value >> 8) & 255, value & 255]));
}

describe("big-endian files, which the library's own decoders give wrong", () => {
  it("with predictor 2: sums of 16-bit differences (TIFF 6.0, section 14)", async () => {
    const blocks = [int16(100, 1, 1, -2, 300, 256, -300, 0, -1, -255, 512, 2)];
    const fields = [{ tag: 317, type: 3 as const, values: [2] }];
    expect(await cellsOf(makeGeoTiff({ ...SPEC, blocks, fields }))).toEqual([
      ...[100, 101, 102, 100],
      ...[300, 556, 256, 256],
      ...[-1, -256, 256, 258],
    ]);
  });

  it("with predictor 3: planes of float bytes, the highest first (TIFF Technical Note 3)", async () => {
    // IEEE 754: 1 is 3F800000, -2.5 C0200000, 100 42C80000, 0.5 3F000000.
    const planes = Buffer.from(`3FC0423F8020C800${"00".repeat(8)}`, "hex");
    const stored = Buffer.from(planes.map((byte, index) => byte - (planes[index - 1] ?? 0)));
    const spec = { ...SPEC, heightPx: 1, sampleType: "float32" as const, blocks: [stored] };
    expect(await cellsOf(makeGeoTiff({ ...spec, fields: [{ tag: 317, type: 3, values: [3] }] }))).toEqual([
      1, -2.5, 100, 0.5,
    ]);
  });

  it("with a list of blocks too long for the directory's own read", async () => {
    const heightPx = 1000;
    const blocks = Array.from({ length: heightPx }, (_, row) => int16(row, row + 1, row + 2, row + 3));
    const cells = await cellsOf(makeGeoTiff({ ...SPEC, step: 0.001, heightPx, rowsPerStrip: 1, blocks }));
    expect(cells).toEqual(blocks.flatMap((_, row) => [row, row + 1, row + 2, row + 3]));
  });
});

describe("the library", () => {
  it("must read the same blocks as the guard", async () => {
    const source = createMemorySource(makeGeoTiff(SPEC));
    const { blocks } = await readTiffHeader(source);
    await expect(openTiffImage(source, { widthPx: 4, heightPx: 3, blocks })).resolves.toBeDefined();
    const others = [
      { widthPx: 5 },
      { heightPx: 4 },
      { blocks: { ...blocks, padded: true } },
      { blocks: { ...blocks, blockWidth: 2 } },
      { blocks: { ...blocks, blockHeight: 2 } },
      { blocks: { ...blocks, offsets: Float64Array.of(18) } },
      { blocks: { ...blocks, byteCounts: Float64Array.of(22) } },
      { blocks: { ...blocks, offsets: Float64Array.of(16, 40) } },
    ];
    for (const other of others) {
      const opening = openTiffImage(source, { widthPx: 4, heightPx: 3, blocks, ...other });
      await expect(opening).rejects.toMatchObject({ code: "raster_refused", message: /read in two ways/ });
    }
  });

  it("has its errors named: a refusal of the file, never another kind", async () => {
    const strange = makeGeoTiff({ ...SPEC, fields: [{ tag: 284, type: 3, values: [7] }] });
    const opening = readTiffHeader(createMemorySource(strange));
    await expect(opening).rejects.toBeInstanceOf(TerrainError);
    await expect(opening).rejects.toMatchObject({ code: "raster_refused", message: /planar configuration/ });
  });

  it.each([["incorrect header check"], [undefined], [new RangeError("Invalid field type: 99")]])(
    "has %s that it throws made a typed error",
    async (thrown) => {
      const call = () => Promise.reject(thrown);
      await expect(wrapErrors("raster_corrupt", call)).rejects.toBeInstanceOf(TerrainError);
      await expect(wrapErrors("raster_corrupt", call)).rejects.toMatchObject({ code: "raster_corrupt", cause: thrown });
    },
  );

  it("lets an error of the decoder and of the disk through as it is", async () => {
    const source = createMemorySource(makeGeoTiff(SPEC));
    const { blocks } = await readTiffHeader(source);
    const image = await openTiffImage(source, { widthPx: 4, heightPx: 3, blocks });
    const busy = new TransientError("raster_unreadable", "EIO");
    const reading = readTiffBlock(image, { column: 0, row: 0 }, () => {
      throw busy;
    });
    await expect(reading).rejects.toBe(busy);
  });
});
