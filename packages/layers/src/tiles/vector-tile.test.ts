import { countWorldCells } from "@fellmark/geodesy";
import { createSeededRandom } from "@fellmark/testkit";
import { TIER_CLASS } from "@fellmark/tiers";
import { VectorTile } from "@mapbox/vector-tile";
import { PbfReader } from "pbf";
import { describe, expect, it } from "vitest";
import type { LayerRaster } from "../layer-raster.ts";
import { buildScene, SCENE_PLANS, SCENE_WINDOW } from "../testing/layer-scene.ts";
import { computeTwiceArea, listFeatures, type ReadFeature, rasteriseFeatures } from "../testing/read-tile.ts";
import { cutCells, type TilePlace } from "./cut-cells.ts";
import { buildVectorTile, TILE_EXTENT, TILE_LAYER } from "./vector-tile.ts";

const raster = buildScene(createSeededRandom(14));

/** Every place whose tile could hold something. */
function listPlaces({ levels }: LayerRaster): TilePlace[] {
  return levels.flatMap(({ window: { zoom: z, col0, row0, width, height } }) => {
    const places = [];
    for (let y = Math.floor(row0 / 256); y * 256 < row0 + height; y++)
      for (let x = Math.floor(col0 / 256); x * 256 < col0 + width; x++) places.push({ z, x, y });
    return places;
  });
}

const places = listPlaces(raster);

/** The layer of a tile, read by @mapbox/vector-tile. */
function readLayer(bytes: Uint8Array) {
  return new VectorTile(new PbfReader(bytes)).layers[TILE_LAYER];
}

function readFeatures(place: TilePlace): ReadFeature[] {
  const tile = buildVectorTile(raster, place);
  return tile ? listFeatures(readLayer(tile)) : [];
}

describe("a vector tile", () => {
  // Vector Tile Specification 2.1, sections 4.1 and 4.3; read by @mapbox/vector-tile.
  it("has one layer of version 2 with a feature for each class that occurs, and says no more of it than is public", () => {
    const layer = readLayer(buildVectorTile(raster, { z: 12, x: 1220, y: 1474 }) as Uint8Array);
    const features = listFeatures(layer);
    expect([layer.version, layer.extent]).toEqual([2, TILE_EXTENT]);
    expect(features.length).toBeGreaterThan(4);
    const allowed = new Set(["class", "plan", "downMbps", "upMbps"]);
    for (const { properties } of features) {
      expect(Object.keys(properties).filter((key) => !allowed.has(key))).toEqual([]);
    }
    const third = features.find(({ properties }) => properties.plan === "p25");
    expect(third?.properties).toEqual({ class: "plan", plan: "p25", downMbps: 25.5, upMbps: 5 });
    expect(new Set(features.map(({ properties }) => properties.class))).toContain("survey-first");
  });

  it("shows the class of the raster at the centre of every cell, at every zoom", () => {
    let cells = 0;
    for (const place of places) {
      const level = raster.levels.find(({ window }) => window.zoom === place.z);
      const expected = level && cutCells(level, place, 0);
      if (!expected) continue;
      const shown = rasteriseFeatures(readFeatures(place));
      const wrong = shown.reduce((sum, value, cell) => sum + Number(value !== expected[cell]), 0);
      expect([place, wrong]).toEqual([place, 0]);
      cells += expected.length;
    }
    expect(cells).toBeGreaterThan(1_000_000);
  });

  // Vector Tile Specification 2.1, section 4.3.4.4: the first ring is exterior and has a positive area.
  it("has exterior rings clockwise as seen, each before its holes, and no ring without an area", () => {
    let holes = 0;
    for (const place of places) {
      for (const { rings } of readFeatures(place)) {
        const areas = rings.map(computeTwiceArea);
        expect(areas[0]).toBeGreaterThan(0);
        expect(areas.every((area) => Math.abs(area) >= 2 * 16 * 16)).toBe(true);
        holes += areas.filter((area) => area < 0).length;
      }
    }
    expect(holes).toBeGreaterThan(50);
  });

  it("agrees with its neighbours on every step of 80 shared edges and of their margins", () => {
    const shared = places.flatMap(({ z, x, y }) => [
      { one: { z, x, y }, other: { z, x: x + 1, y }, frame: { column0: 252, row0: 0, columns: 8, rows: 256 } },
      { one: { z, x, y }, other: { z, x, y: y + 1 }, frame: { column0: 0, row0: 252, columns: 256, rows: 8 } },
    ]);
    const random = createSeededRandom(80);
    let shown = 0;
    for (let edge = 0; edge < 80; edge++) {
      const { one, other, frame } = shared[Math.floor(shared.length * random())];
      const [column0, row0] = [frame.column0 - 256 * (other.x - one.x), frame.row0 - 256 * (other.y - one.y)];
      const here = rasteriseFeatures(readFeatures(one), frame);
      const there = rasteriseFeatures(readFeatures(other), { ...frame, column0, row0 });
      expect([one, other, Buffer.compare(Buffer.from(here.buffer), Buffer.from(there.buffer))]).toEqual([
        one,
        other,
        0,
      ]);
      shown += here.filter((value) => value !== 255).length;
    }
    expect(shown).toBeGreaterThan(10_000);
  });

  it("is null where nothing is, off the levels too", () => {
    expect(buildVectorTile(raster, { z: 12, x: 0, y: 0 })).toBeNull();
    expect(buildVectorTile(raster, { z: 13, x: 2440, y: 2948 })).toBeNull();
    expect(buildVectorTile(raster, { z: 12, x: 1220, y: 4095 })).toBeNull();
  });

  it("goes on over the antimeridian", () => {
    const world = countWorldCells(SCENE_WINDOW.zoom);
    const window = { ...SCENE_WINDOW, col0: world - 300, width: 700 };
    const over = buildScene(createSeededRandom(180), window);
    const [east, west] = [4095, 0].map((x) => buildVectorTile(over, { z: 12, x, y: 1474 }));
    if (!east || !west) throw new Error("a tile is empty");
    const [left, right] = [east, west].map((tile) => rasteriseFeatures(listFeatures(readLayer(tile))));
    const { classes } = over.levels[0];
    const row = 1474 * 256 + 100 - window.row0;
    for (let column = 0; column < 256; column++) {
      expect(left[100 * 256 + column]).toBe(classes[row * 700 + 44 + column]);
      expect(right[100 * 256 + column]).toBe(classes[row * 700 + 300 + column]);
    }
  });

  it("keeps a class of one cell, and one with a hole that touches its rim", () => {
    const { outside } = TIER_CLASS;
    const classes = new Uint8Array(16 * 16).fill(outside);
    for (const cell of [34, 35, 36, 50, 52, 66, 67, 84]) classes[cell] = 1;
    const small = {
      plans: SCENE_PLANS,
      levels: [{ window: { ...SCENE_WINDOW, col0: 312_320, row0: 377_344, width: 16, height: 16 }, classes }],
    };
    const tile = buildVectorTile(small, { z: 12, x: 1220, y: 1474 });
    const shown = rasteriseFeatures(listFeatures(readLayer(tile as Uint8Array)));
    for (let cell = 0; cell < 256; cell++) expect(shown[(cell >> 4) * 256 + (cell & 15)]).toBe(classes[cell]);
  });
});
