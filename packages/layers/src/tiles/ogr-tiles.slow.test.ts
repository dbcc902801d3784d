import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { createSeededRandom, createTempDir, needsOsgeo, PYTHON } from "@fellmark/testkit";
import { VectorTile } from "@mapbox/vector-tile";
import { PbfReader } from "pbf";
import { describe, expect, it } from "vitest";
import { buildScene, SCENE_WINDOW } from "../testing/layer-scene.ts";
import { computeTwiceArea, listFeatures } from "../testing/read-tile.ts";
import { buildVectorTile, TILE_LAYER } from "./vector-tile.ts";

/** The features of a tile, read by @mapbox/vector-tile. */
function readTile(bytes: Uint8Array) {
  return listFeatures(new VectorTile(new PbfReader(bytes)).layers[TILE_LAYER]);
}

/** Reads tiles by GDAL's MVT driver: files, features, features that GEOS finds invalid, and the area of all, in steps. */
const READ_TILES = `
import glob, json, sys
from osgeo import gdal, ogr
gdal.UseExceptions(); ogr.UseExceptions()
files = features = invalid = 0
area = 0.0
for path in sorted(glob.glob(sys.argv[1] + "/*.mvt")):
    source = gdal.OpenEx("MVT:" + path, gdal.OF_VECTOR, open_options=["CLIP=NO"])
    files += 1
    for feature in source.GetLayerByName("tiers"):
        geometry = feature.GetGeometryRef()
        features += 1
        invalid += not geometry.IsValid()
        area += geometry.GetArea()
print(json.dumps([files, features, invalid, area]))
`;

/** Counts the polygons of a file that GEOS finds invalid. */
const JUDGE_POLYGONS = `
import json, sys
from osgeo import ogr
ogr.UseExceptions()
polygons = json.load(open(sys.argv[1]))
print(sum(not ogr.CreateGeometryFromJson(json.dumps(one)).IsValid() for one in polygons))
`;

describe.skipIf(!needsOsgeo())("500 random tiles at all zooms", () => {
  const random = createSeededRandom(500);
  const tiles: Uint8Array[] = [];
  while (tiles.length < 500) {
    const [width, height] = [150 + Math.floor(300 * random()), 150 + Math.floor(300 * random())];
    const col0 = SCENE_WINDOW.col0 + Math.floor(9000 * random());
    const raster = buildScene(random, { ...SCENE_WINDOW, col0, width, height });
    for (const { window } of raster.levels) {
      const x = Math.floor((window.col0 + window.width * random()) / 256);
      const y = Math.floor((window.row0 + window.height * random()) / 256);
      const tile = buildVectorTile(raster, { z: window.zoom, x, y });
      if (tile) tiles.push(tile);
    }
  }

  it("are read by GDAL's MVT driver, every feature valid", () => {
    const dir = createTempDir();
    for (const [index, tile] of tiles.entries()) writeFileSync(join(dir.path, `${index}.mvt`), tile);
    const read = execFileSync(PYTHON, ["-c", READ_TILES, dir.path], { encoding: "utf8" });
    const [files, features, invalid, area] = JSON.parse(read) as number[];
    expect([files, invalid]).toEqual([tiles.length, 0]);
    expect(features).toBe(tiles.reduce((sum, tile) => sum + readTile(tile).length, 0));
    expect(area).toBeGreaterThan(0);
    dir.remove();
  });

  // Vector Tile Specification 2.1, section 4.3.4.4: a ring of positive area begins a polygon, others are its holes.
  it("hold polygons that GEOS finds valid, grouped by the winding of their rings alone", () => {
    const polygons = tiles.flatMap((tile) =>
      readTile(tile).map(({ rings }) => {
        const coordinates: number[][][][] = [];
        for (const ring of rings) {
          const points = ring.map(({ x, y }) => [x, y]);
          if (computeTwiceArea(ring) > 0) coordinates.push([points]);
          else coordinates.at(-1)?.push(points);
        }
        return { type: "MultiPolygon", coordinates };
      }),
    );
    const dir = createTempDir();
    const path = join(dir.path, "polygons.json");
    writeFileSync(path, JSON.stringify(polygons));
    expect(execFileSync(PYTHON, ["-c", JUDGE_POLYGONS, path], { encoding: "utf8" }).trim()).toBe("0");
    dir.remove();
  });
});
