import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { type FileHandle, open } from "node:fs/promises";
import { pipeline } from "node:stream/promises";
import { computeProjectedCellSizeM, countWorldCells, type LatticeWindow } from "@fellmark/geodesy";
import { createRaster, deflateTile, findKind, RASTER_TILE, type RasterKind, type RasterValues } from "./raster-tile.ts";
import {
  encodeDirectory,
  encodeHeader,
  type TiffField,
  toAscii,
  toDoubles,
  toLongs,
  toShorts,
} from "./tiff-directory.ts";

export interface RasterMeta {
  /** A value is stored * scale + offset, in `unit`. */
  scale: number;
  offset: number;
  unit: string;
  /** Stored value of a cell without one. */
  noData: number;
  name: string;
  /** Further metadata of the file, by name. */
  facts?: Record<string, string | number>;
}

export interface WrittenFile {
  bytes: number;
  sha256: string;
}

export interface RasterWriter {
  /**
   * Takes the next rows from north to south: a whole number of them, as many as the caller likes. The array may be used
   * again once the promise settles. Throws RangeError for rows out of order or not of the window's width.
   */
  writeRows(row0: number, rows: RasterValues): Promise<void>;
  /** Ends the file; throws RangeError where rows are missing. */
  close(): Promise<WrittenFile>;
  /** Lets go of the file without ending it; the caller removes it. Harmless after close. */
  abort(): Promise<void>;
}

/**
 * Starts a GeoTIFF on a lattice window: EPSG:3857, 256 x 256 tiles, deflate, predictor 2. Memory stays at one row of
 * tiles. The same rows give the same bytes whatever the strips. Source: OGC 19-008r4, GeoTIFF 1.1.
 */
export async function createRasterWriter(
  path: string,
  window: LatticeWindow,
  kind: RasterKind,
  meta: RasterMeta,
): Promise<RasterWriter> {
  return new TiledWriter(path, await open(path, "w"), window, kind, meta);
}

/** Writes a whole raster, row-major and north row first, see createRasterWriter. */
export async function writeRaster(
  path: string,
  window: LatticeWindow,
  values: RasterValues,
  meta: RasterMeta,
): Promise<WrittenFile> {
  const writer = await createRasterWriter(path, window, findKind(values), meta);
  try {
    await writer.writeRows(0, values);
    return await writer.close();
  } finally {
    await writer.abort();
  }
}

class TiledWriter implements RasterWriter {
  private readonly path: string;
  private readonly file: FileHandle;
  private readonly window: LatticeWindow;
  private readonly kind: RasterKind;
  private readonly meta: RasterMeta;
  private readonly tileRow: RasterValues;
  private readonly offsets: number[] = [];
  private readonly byteCounts: number[] = [];
  private nextRow = 0;
  private end = 8;
  private isOpen = true;

  constructor(path: string, file: FileHandle, window: LatticeWindow, kind: RasterKind, meta: RasterMeta) {
    this.path = path;
    this.file = file;
    this.window = window;
    this.kind = kind;
    this.meta = meta;
    this.tileRow = createRaster(kind, window.width * RASTER_TILE);
  }

  async writeRows(row0: number, rows: RasterValues): Promise<void> {
    const { width, height } = this.window;
    const count = rows.length / width;
    if (findKind(rows) !== this.kind) throw new TypeError(`rows are ${findKind(rows)}, the raster is ${this.kind}`);
    if (row0 !== this.nextRow) throw new RangeError(`expected row ${this.nextRow}, got ${row0}`);
    if (!Number.isInteger(count) || row0 + count > height) {
      throw new RangeError(`${rows.length} values do not fit rows ${row0} .. ${height - 1} of ${width} cells`);
    }
    for (let taken = 0; taken < count; ) {
      const into = this.nextRow % RASTER_TILE;
      const fits = Math.min(count - taken, RASTER_TILE - into);
      this.tileRow.set(rows.subarray(taken * width, (taken + fits) * width), into * width);
      taken += fits;
      this.nextRow += fits;
      if (this.nextRow % RASTER_TILE === 0 || this.nextRow === height) await this.writeTiles(into + fits);
    }
  }

  /** Compresses the tiles of the collected rows side by side and writes them in order. */
  private async writeTiles(rows: number): Promise<void> {
    const { width } = this.window;
    const across = Math.ceil(width / RASTER_TILE);
    const tiles = await Promise.all(
      Array.from({ length: across }, (_, tile) => deflateTile(this.tileRow, width, rows, tile * RASTER_TILE)),
    );
    const start = this.end;
    for (const tile of tiles) {
      this.offsets.push(this.end);
      this.byteCounts.push(tile.length);
      this.end += tile.length;
    }
    await this.file.write(Buffer.concat(tiles), 0, this.end - start, start);
  }

  async close(): Promise<WrittenFile> {
    const { height } = this.window;
    if (this.nextRow !== height) throw new RangeError(`rows ${this.nextRow} .. ${height - 1} were not written`);
    const directoryOffset = this.end + (this.end & 1);
    const directory = encodeDirectory(this.fields(), directoryOffset);
    if (directoryOffset + directory.length > 0xffff_ffff) throw new RangeError("a raster file holds 4 GiB at most");
    await this.file.write(directory, 0, directory.length, directoryOffset);
    await this.file.write(encodeHeader(directoryOffset), 0, 8, 0);
    await this.abort();
    return { bytes: directoryOffset + directory.length, sha256: await hashFile(this.path) };
  }

  async abort(): Promise<void> {
    if (!this.isOpen) return;
    this.isOpen = false;
    await this.file.close();
  }

  private fields(): TiffField[] {
    const { width, height } = this.window;
    return [
      toLongs(256, [width]),
      toLongs(257, [height]),
      toShorts(258, this.tileRow.BYTES_PER_ELEMENT * 8), // bits per sample
      toShorts(259, 8), // deflate
      toShorts(262, 1), // black is zero
      toShorts(277, 1), // samples per pixel
      toShorts(284, 1), // planar configuration: chunky
      toShorts(317, 2), // predictor: horizontal differences
      toShorts(322, RASTER_TILE),
      toShorts(323, RASTER_TILE),
      toLongs(324, this.offsets),
      toLongs(325, this.byteCounts),
      toShorts(339, this.kind === "int16" ? 2 : 1), // sample format: signed or unsigned
      ...buildGeoreference(this.window),
      toAscii(42112, buildGdalMetadata(this.meta)),
      toAscii(42113, String(this.meta.noData)),
    ];
  }
}

/** ModelPixelScale, ModelTiepoint of the outer corner of the north-west cell, and the keys of EPSG:3857 in metres. */
function buildGeoreference({ zoom, col0, row0 }: LatticeWindow): TiffField[] {
  const cell = computeProjectedCellSizeM(zoom);
  const half = countWorldCells(zoom) / 2;
  const keys = [
    [1024, 0, 1, 1], // GTModelType: projected
    [1025, 0, 1, 1], // GTRasterType: pixel is area
    [3072, 0, 1, 3857], // ProjectedCRS
    [3076, 0, 1, 9001], // ProjLinearUnits: metre
  ];
  return [
    toDoubles(33550, cell, cell, 0),
    toDoubles(33922, 0, 0, 0, (col0 - half) * cell, (half - row0) * cell, 0),
    toShorts(34735, 1, 1, 0, keys.length, ...keys.flat()),
  ];
}

/** Scale, offset, unit and name as GDAL reads them. Source: gdal.org, raster driver GTiff, tag GDAL_METADATA. */
function buildGdalMetadata({ scale, offset, unit, name, facts = {} }: RasterMeta): string {
  const items = [
    ["SCALE", "scale", String(scale)],
    ["OFFSET", "offset", String(offset)],
    ["UNITTYPE", "unittype", unit],
    ["DESCRIPTION", "description", name],
  ];
  const lines = items.map(
    ([key, role, value]) => `<Item name="${key}" sample="0" role="${role}">${escapeXml(value)}</Item>`,
  );
  const ofFile = Object.entries(facts).map(([key, value]) => `<Item name="${key}">${escapeXml(String(value))}</Item>`);
  return `<GDALMetadata>${[...lines, ...ofFile].join("")}</GDALMetadata>`;
}

/** Text as GDAL takes it: an ampersand is escaped twice, since it resolves entities twice. */
function escapeXml(text: string): string {
  return text.replace(/\p{C}/gu, "").replaceAll("&", "&amp;amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
}

async function hashFile(path: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(path), hash);
  return hash.digest("hex");
}
