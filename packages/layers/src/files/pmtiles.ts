import { createHash } from "node:crypto";
import { gzipSync } from "node:zlib";
import type { LayerRaster } from "../layer-raster.ts";
import { TILE_CELLS, type TilePlace } from "../tiles/cut-cells.ts";
import { buildVectorTile } from "../tiles/vector-tile.ts";
import { findBounds } from "./bounds.ts";

/** Header, root directory and metadata must lie within the first 16,384 bytes. Source: PMTiles 3.0, section 2. */
const HEADER_BYTES = 127;
const ROOT_LIMIT_BYTES = 16_384 - HEADER_BYTES;

/** Values of the header. Source: PMTiles 3.0, section 3. */
const GZIP = 2;
const MVT = 1;

/** One entry of a directory: tiles from `tileId` on, `runLength` of them with one content; 0: a leaf directory. */
interface Entry {
  tileId: number;
  offset: number;
  length: number;
  runLength: number;
}

/** Tiles of one archive, in the order of their ids, and what its header says of them. */
export interface Archive {
  tiles: Iterable<{ place: TilePlace; bytes: Uint8Array }>;
  /** West, south, east, north, degrees. */
  bounds: readonly [number, number, number, number];
  minZoom: number;
  maxZoom: number;
  /** Any JSON object. */
  metadata: object;
}

/**
 * Returns all vector tiles of a layer as one archive. `metadata` is the JSON object of the archive.
 * Source: PMTiles 3.0.
 */
export function buildPmtiles(raster: LayerRaster, metadata: object): Buffer {
  const zooms = raster.levels.map(({ window }) => window.zoom);
  const [minZoom, maxZoom] = [Math.min(...zooms), Math.max(...zooms)];
  return packArchive({ tiles: buildTiles(raster), bounds: findBounds(raster), minZoom, maxZoom, metadata });
}

function* buildTiles(raster: LayerRaster): Archive["tiles"] {
  for (const place of listTilePlaces(raster)) {
    const bytes = buildVectorTile(raster, place);
    if (bytes) yield { place, bytes };
  }
}

/** Returns an archive that is clustered: tiles lie in the order of their ids; gzip compresses tiles and directories. */
export function packArchive(archive: Archive): Buffer {
  const { entries, contents, addressed } = collectTiles(archive.tiles);
  const { root, leaves } = buildDirectories(entries);
  const metadata = gzipSync(JSON.stringify(archive.metadata));
  const tiles = Buffer.concat(contents);
  const header = buildHeader(archive, {
    lengths: [root.length, metadata.length, leaves.length, tiles.length],
    counts: [addressed, entries.length, contents.length],
  });
  return Buffer.concat([header, root, metadata, leaves, tiles]);
}

/** Compresses tiles; equal ones are held once. */
function collectTiles(tiles: Archive["tiles"]) {
  const entries: Entry[] = [];
  const contents: Buffer[] = [];
  const known = new Map<string, { offset: number; length: number }>();
  let end = 0;
  let addressed = 0;
  for (const { place, bytes } of tiles) {
    addressed++;
    const hash = createHash("sha256").update(bytes).digest("base64");
    let content = known.get(hash);
    if (!content) {
      const packed = gzipSync(bytes);
      content = { offset: end, length: packed.length };
      known.set(hash, content);
      contents.push(packed);
      end += packed.length;
    }
    addEntry(entries, { tileId: toTileId(place), ...content, runLength: 1 });
  }
  return { entries, contents, addressed };
}

function addEntry(entries: Entry[], entry: Entry): void {
  const last = entries.at(-1);
  if (last && last.tileId + last.runLength === entry.tileId && last.offset === entry.offset) last.runLength++;
  else entries.push(entry);
}

/** The places of all tiles that a layer's levels reach, in the order of their ids. */
function listTilePlaces({ levels }: LayerRaster): TilePlace[] {
  const places = levels.flatMap(({ window: { zoom, col0, row0, width, height } }) => {
    const side = 2 ** zoom;
    const found: TilePlace[] = [];
    for (let y = Math.floor(row0 / TILE_CELLS); y * TILE_CELLS < row0 + height; y++) {
      for (let x = Math.floor(col0 / TILE_CELLS); x * TILE_CELLS < col0 + width; x++) {
        if (y >= 0 && y < side) found.push({ z: zoom, x: ((x % side) + side) % side, y });
      }
    }
    return found;
  });
  return places.sort((a, b) => toTileId(a) - toTileId(b));
}

/**
 * Returns the number of a tile: tiles of smaller zooms come first, those of one zoom lie along a Hilbert curve.
 * 0/0/0 is 0, 1/0/0 is 1, 1/1/0 is 4. Source: PMTiles 3.0, section 4.1, table of tile ids.
 */
export function toTileId({ z, x, y }: TilePlace): number {
  let id = (4 ** z - 1) / 3;
  let [column, row] = [x, y];
  for (let side = 2 ** (z - 1); side >= 1; side /= 2) {
    const right = (column & side) > 0 ? 1 : 0;
    const down = (row & side) > 0 ? 1 : 0;
    id += side * side * ((3 * right) ^ down);
    if (down === 0) {
      if (right === 1) [column, row] = [side - 1 - column, side - 1 - row];
      [column, row] = [row, column];
    }
  }
  return id;
}

/** One root directory, or, where that is too long, a root of leaf directories. */
function buildDirectories(entries: Entry[]): { root: Buffer; leaves: Buffer } {
  const whole = encodeDirectory(entries);
  if (whole.length <= ROOT_LIMIT_BYTES) return { root: whole, leaves: Buffer.alloc(0) };
  for (let perLeaf = 4096; ; perLeaf *= 2) {
    const leaves: Buffer[] = [];
    const pointers: Entry[] = [];
    let offset = 0;
    for (let from = 0; from < entries.length; from += perLeaf) {
      const leaf = encodeDirectory(entries.slice(from, from + perLeaf));
      pointers.push({ tileId: entries[from].tileId, offset, length: leaf.length, runLength: 0 });
      leaves.push(leaf);
      offset += leaf.length;
    }
    const root = encodeDirectory(pointers);
    if (root.length <= ROOT_LIMIT_BYTES) return { root, leaves: Buffer.concat(leaves) };
  }
}

/** Source: PMTiles 3.0, section 4.2: count, then the columns of the entries as varints. */
function encodeDirectory(entries: readonly Entry[]): Buffer {
  const numbers = [
    entries.length,
    ...entries.map(({ tileId }, index) => tileId - (index > 0 ? entries[index - 1].tileId : 0)),
    ...entries.map(({ runLength }) => runLength),
    ...entries.map(({ length }) => length),
    ...entries.map(({ offset }, index) => {
      const before = entries[index - 1];
      return before && offset === before.offset + before.length ? 0 : offset + 1;
    }),
  ];
  return gzipSync(Buffer.from(numbers.flatMap(toVarint)));
}

function toVarint(value: number): number[] {
  const bytes = [];
  let rest = value;
  for (; rest >= 128; rest = Math.floor(rest / 128)) bytes.push((rest % 128) | 128);
  bytes.push(rest);
  return bytes;
}

interface HeaderNumbers {
  /** Bytes of root directory, metadata, leaf directories and tiles, which follow each other in this order. */
  lengths: number[];
  /** Addressed tiles, entries and contents. */
  counts: number[];
}

/** Source: PMTiles 3.0, section 3. */
function buildHeader({ bounds, minZoom, maxZoom }: Archive, { lengths, counts }: HeaderNumbers): Buffer {
  const header = Buffer.alloc(HEADER_BYTES);
  header.write("PMTiles", 0, "ascii");
  header[7] = 3;
  let offset = HEADER_BYTES;
  for (const [part, length] of lengths.entries()) {
    header.writeBigUInt64LE(BigInt(offset), 8 + 16 * part);
    header.writeBigUInt64LE(BigInt(length), 16 + 16 * part);
    offset += length;
  }
  for (const [index, count] of counts.entries()) header.writeBigUInt64LE(BigInt(count), 72 + 8 * index);
  header.set([1, GZIP, GZIP, MVT, minZoom, maxZoom], 96);
  const corners = bounds.map((deg) => Math.round(deg * 1e7));
  for (const [index, corner] of corners.entries()) header.writeInt32LE(corner, 102 + 4 * index);
  header[118] = maxZoom;
  header.writeInt32LE(Math.round((corners[0] + corners[2]) / 2), 119);
  header.writeInt32LE(Math.round((corners[1] + corners[3]) / 2), 123);
  return header;
}
