import { createSeededRandom } from "@fellmark/testkit";
import { PMTiles, type RangeResponse, type Source, zxyToTileId } from "pmtiles";
import { describe, expect, it } from "vitest";
import { buildScene } from "../testing/layer-scene.ts";
import { buildVectorTile } from "../tiles/vector-tile.ts";
import { buildPmtiles, packArchive, toTileId } from "./pmtiles.ts";

class BufferSource implements Source {
  readonly bytes: Buffer;
  constructor(bytes: Buffer) {
    this.bytes = bytes;
  }
  getKey(): string {
    return "archive";
  }
  async getBytes(offset: number, length: number): Promise<RangeResponse> {
    return { data: new Uint8Array(this.bytes.subarray(offset, offset + length)).buffer };
  }
}

describe("a PMTiles archive, read by the package pmtiles", () => {
  const raster = buildScene(createSeededRandom(14));
  const bytes = buildPmtiles(raster, { name: "tiers", vector_layers: [] });
  const archive = new PMTiles(new BufferSource(bytes));

  it("says in its header what it holds (PMTiles 3.0, section 3)", async () => {
    const header = await archive.getHeader();
    expect(header).toMatchObject({ specVersion: 3, clustered: true, tileType: 1, tileCompression: 2, maxZoom: 12 });
    expect(header.minZoom).toBe(raster.levels.at(-1)?.window.zoom);
    expect(header.minLon).toBeCloseTo((312_100 / 2 ** 20) * 360 - 180, 6);
    expect(header.numAddressedTiles).toBeGreaterThan(15);
    expect(await archive.getMetadata()).toEqual({ name: "tiers", vector_layers: [] });
  });

  it("holds every tile as it is served, and none beyond", async () => {
    let tiles = 0;
    for (const { window } of raster.levels) {
      const [west, north] = [Math.floor(window.col0 / 256), Math.floor(window.row0 / 256)];
      for (let y = north - 1; y < north + 5; y++) {
        for (let x = west - 1; x < west + 5; x++) {
          if (x < 0 || y < 0 || x >= 2 ** window.zoom || y >= 2 ** window.zoom) continue;
          const expected = buildVectorTile(raster, { z: window.zoom, x, y });
          const read = await archive.getZxy(window.zoom, x, y);
          expect(read === undefined).toBe(expected === null);
          if (!read || !expected) continue;
          expect(Buffer.compare(Buffer.from(read.data), expected)).toBe(0);
          tiles++;
        }
      }
    }
    expect(tiles).toBe((await archive.getHeader()).numAddressedTiles);
  });

  it("numbers tiles along the curve of the specification", () => {
    const random = createSeededRandom(3);
    for (let count = 0; count < 500; count++) {
      const z = Math.floor(20 * random());
      const [x, y] = [Math.floor(2 ** z * random()), Math.floor(2 ** z * random())];
      expect(toTileId({ z, x, y })).toBe(zxyToTileId(z, x, y));
    }
  });

  it("has leaf directories where a root cannot name all tiles", async () => {
    const random = createSeededRandom(9);
    const pick = () => Math.floor(2 ** 14 * random());
    const places = Array.from({ length: 12_000 }, () => ({ z: 14, x: pick(), y: pick() }));
    places.sort((a, b) => toTileId(a) - toTileId(b));
    const tiles = places.map((place, index) => ({
      place,
      bytes: Buffer.from(`${index} ${"0123456789".repeat(Math.floor(9 * random()))}${random()}`),
    }));
    const bounds = [-180, -85, 180, 85] as const;
    const large = packArchive({ tiles, bounds, minZoom: 14, maxZoom: 14, metadata: {} });
    expect(large.readBigUInt64LE(48)).toBeGreaterThan(0n);
    const reader = new PMTiles(new BufferSource(large));
    for (const index of [0, 5_000, 11_999]) {
      const { place, bytes } = tiles[index];
      const read = await reader.getZxy(place.z, place.x, place.y);
      expect(new TextDecoder().decode(read?.data)).toBe(bytes.toString());
    }
  });
});
