import { inflateSync } from "node:zlib";
import { createSeededRandom } from "@fellmark/testkit";
import { TIER_CLASS } from "@fellmark/tiers";
import { describe, expect, it } from "vitest";
import { buildAreasGeojson, formatAreasCsv, listLayerAreas } from "../files/layer-areas.ts";
import { buildScene, SCENE_FACTS, SCENE_PLANS } from "../testing/layer-scene.ts";
import { cutCells } from "../tiles/cut-cells.ts";
import { buildPictureTile } from "../tiles/picture-tile.ts";
import { listLayerClasses } from "./layer-classes.ts";
import { buildLegendJson, renderLegendPng, renderLegendSvg } from "./legend.ts";
import { buildStyle, buildTileJson, outlineLayer } from "./map-documents.ts";
import { buildSpriteIndex, buildSpritePng } from "./sprite.ts";

const raster = buildScene(createSeededRandom(14));
const place = { z: 12, x: 1220, y: 1474 };

/** Indices, palette and opacities of an indexed PNG without row filters. */
function readPng(png: Uint8Array) {
  const chunks = new Map<string, Buffer>();
  const bytes = Buffer.from(png);
  for (let at = 8; at < bytes.length; ) {
    const length = bytes.readUInt32BE(at);
    chunks.set(bytes.toString("latin1", at + 4, at + 8), bytes.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  const width = chunks.get("IHDR")?.readUInt32BE(0) ?? 0;
  const lines = inflateSync(chunks.get("IDAT") ?? Buffer.alloc(0));
  const height = lines.length / (width + 1);
  const indices = Buffer.concat(
    Array.from({ length: height }, (_, row) => lines.subarray(row * (width + 1) + 1, (row + 1) * (width + 1))),
  );
  return { width, height, indices, palette: chunks.get("PLTE") ?? Buffer.alloc(0), opacities: chunks.get("tRNS") };
}

/** Class of each pixel by its palette index: 0 outside, then fill and ink of each class in the order of the legend. */
function toClasses(indices: Uint8Array): number[] {
  const classes = listLayerClasses(SCENE_PLANS);
  return Array.from(indices, (index) => (index === 0 ? TIER_CLASS.outside : classes[(index - 1) >> 1].value));
}

describe("a picture tile", () => {
  it("of 256 pixels shows the class of each cell, of 512 the cells of the next finer level", async () => {
    const small = readPng((await buildPictureTile(raster, place, 256)) as Uint8Array);
    expect([small.width, small.height, small.opacities?.[0]]).toEqual([256, 256, 0]);
    expect(toClasses(small.indices)).toEqual(Array.from(cutCells(raster.levels[0], place, 0) as Uint8Array));
    const coarse = { z: 11, x: 610, y: 737 };
    const large = readPng((await buildPictureTile(raster, coarse, 512)) as Uint8Array);
    const shown = toClasses(large.indices);
    const quarter = cutCells(raster.levels[0], { z: 12, x: 1221, y: 1475 }, 0) as Uint8Array;
    const wrong = quarter.filter((tier, cell) => tier !== shown[(256 + (cell >> 8)) * 512 + 256 + (cell & 255)]);
    expect([large.width, wrong.length]).toEqual([512, 0]);
  });

  it("of the finest level in 512 pixels shows each cell as four", async () => {
    const shown = toClasses(readPng((await buildPictureTile(raster, place, 512)) as Uint8Array).indices);
    const cells = cutCells(raster.levels[0], place, 0) as Uint8Array;
    expect(shown.filter((tier, pixel) => tier !== cells[(pixel >> 10) * 256 + ((pixel & 511) >> 1)])).toEqual([]);
  });

  it("is null where nothing is", async () => {
    expect(await buildPictureTile(raster, { z: 12, x: 0, y: 0 }, 256)).toBeNull();
    expect(await buildPictureTile(raster, { z: 12, x: 0, y: 0 }, 512)).toBeNull();
    expect(await buildPictureTile(raster, { z: 19, x: 0, y: 0 }, 256)).toBeNull();
  });
});

describe("the look of classes", () => {
  const many = Array.from({ length: 32 }, (_, index) => ({ id: `p${index}`, downMbps: 100 - index, upMbps: 1 }));

  it("is one blue hue that gets lighter with each slower plan", () => {
    const fills = listLayerClasses(many)
      .slice(0, 32)
      .map(({ fill }) => fill);
    for (const [red, green, blue] of fills) expect(red < green && green < blue).toBe(true);
    const brightness = fills.map(([red, green, blue]) => 0.2126 * red + 0.7152 * green + 0.0722 * blue);
    expect(brightness).toEqual(brightness.toSorted((a, b) => a - b));
    expect(new Set(brightness).size).toBe(32);
  });

  it("tells neighbouring plans, a survey and what is not known apart by patterns too", () => {
    const patterns = listLayerClasses(SCENE_PLANS).map(({ pattern }) => pattern?.join("") ?? "");
    const [best, second, third, survey, , , noService, notKnown] = patterns;
    expect(new Set([best, second, third, survey, notKnown]).size).toBe(5);
    expect(noService).toBe("");
    for (const pattern of patterns) expect([0, 64]).toContain(pattern.length);
  });

  it("has a picture of every pattern that the style names", async () => {
    const index = buildSpriteIndex(SCENE_PLANS);
    const { width, height } = readPng(await buildSpritePng(SCENE_PLANS));
    expect([width, height]).toEqual([8 * Object.keys(index).length, 8]);
    const layer = { ...SCENE_FACTS, ...outlineLayer(raster), plans: SCENE_PLANS, version: 1 };
    const style = buildStyle(layer, { tileJson: "t", sprite: "s" });
    const named = style.layers.flatMap(({ paint }) => ("fill-pattern" in paint ? [paint["fill-pattern"]] : []));
    expect(Object.keys(index)).toEqual(named);
  });
});

describe("the documents of a layer", () => {
  const layer = { ...SCENE_FACTS, ...outlineLayer(raster), plans: SCENE_PLANS, version: 7 };

  // TileJSON 3.0, section 3: required are tilejson, tiles and vector_layers; version is a semantic version.
  it("include TileJSON 3.0 with all that is required, in ranges, its text escaped", () => {
    const tileJson = buildTileJson(layer, "http://h/{z}/{x}/{y}.mvt");
    expect(tileJson).toMatchObject({ tilejson: "3.0.0", tiles: ["http://h/{z}/{x}/{y}.mvt"], version: "7.0.0" });
    expect(tileJson.vector_layers[0]).toMatchObject({ id: "tiers", minzoom: tileJson.minzoom, maxzoom: 12 });
    const [west, south, east, north] = tileJson.bounds;
    expect(west < east && south < north && west >= -180 && east <= 180 && south >= -85.1 && north <= 85.1).toBe(true);
    expect(tileJson.attribution).toBe("Tollivast Broadband &amp; &quot;friends&quot;");
    expect(JSON.stringify(tileJson)).not.toContain("<");
    expect(tileJson.notKnownShare).toBeGreaterThan(0);
  });

  it("name nothing of sites, sectors, levels or jobs", () => {
    const documents = [
      buildTileJson(layer, "t"),
      buildStyle(layer, { tileJson: "t", sprite: "s" }),
      buildLegendJson(raster, SCENE_FACTS),
      buildAreasGeojson(raster, SCENE_FACTS),
    ];
    const text = JSON.stringify(documents) + renderLegendSvg(raster, SCENE_FACTS) + formatAreasCsv(raster, SCENE_FACTS);
    expect(text).not.toMatch(/site|sector|azimuth|antenna|dbm|subscriberId|job|\.tif/i);
  });

  it("include a legend as SVG whose text is text, and as PNG of the same content", async () => {
    const svg = renderLegendSvg(raster, SCENE_FACTS);
    expect(svg).toContain("Plans &lt;b&gt;today&lt;/b&gt;");
    expect(svg).not.toMatch(/<b>|href|<script/);
    for (const words of ["p100   100 / 20 Mbit/s", "survey first", "no service", "not known", "2026-11-30", "6 m"])
      expect(svg).toContain(words);
    const { width, height } = readPng(await renderLegendPng(raster, SCENE_FACTS));
    expect(svg).toContain(`viewBox="0 0 ${width / 2} ${height / 2}"`);
  });

  it("include areas that add up to the whole, as CSV with quotes where RFC 4180 wants them", () => {
    const areas = listLayerAreas(raster);
    expect(areas.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
    const named = { ...raster, plans: [{ id: '=a,"b', downMbps: 1, upMbps: 1 }, ...SCENE_PLANS.slice(1)] };
    const [head, first, ...rest] = formatAreasCsv(named, SCENE_FACTS).split("\r\n");
    expect(head).toBe("class,plan,downMbps,upMbps,areaKm2,share,validFrom,validUntil");
    expect(first).toMatch(/^plan,"'=a,""b",1,1,[\d.]+,[\d.]+,2026-11-30,$/);
    expect(rest).toHaveLength(areas.length);
  });
});
