import { execFileSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdirSync, readFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { buildIslandRequest, writeIsland } from "@fellmark/island";
import { createTempDir, hasCommand, needs, needsOsgeo, PYTHON } from "@fellmark/testkit";
import { chromium } from "playwright-core";
import { FetchSource, PMTiles } from "pmtiles";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { lastState, post } from "../e2e/client.ts";
import { readDocumentation } from "../e2e/documented.ts";
import { type RunningService, startService } from "../e2e/service.ts";

const LAYER = "/v1/layers/plans";
const MAP_LIBRARY = dirname(fileURLToPath(import.meta.resolve("maplibre-gl/dist/maplibre-gl.css")));

/** A page as the README shows it, and a mark that tells when the map has drawn everything. */
const PAGE = `<!doctype html><meta charset="utf-8">
<link rel="stylesheet" href="maplibre-gl.css"><div id="map" style="width: 800px; height: 600px"></div>
<script type="module">
  import { Map, setWorkerUrl } from "./maplibre-gl.mjs";
  setWorkerUrl("./maplibre-gl-worker.mjs");
  const style = new URLSearchParams(location.search).get("style");
  const map = new Map({ container: "map", style, canvasContextAttributes: { preserveDrawingBuffer: true } });
  window.faults = [];
  map.on("error", ({ error }) => window.faults.push(error.message));
  map.on("idle", () => { window.drawn = map.queryRenderedFeatures().map(({ properties }) => properties); });
</script>`;

interface TileJson {
  tiles: string[];
  bounds: number[];
  minzoom: number;
  maxzoom: number;
}

let service: RunningService;
let base: string;
let tileJson: TileJson;
const terrain = createTempDir("fellmark-layer-");

beforeAll(async () => {
  const terrainDir = join(terrain.path, "island");
  mkdirSync(terrainDir);
  await writeIsland(terrainDir);
  service = await startService({ FELLMARK_TERRAIN_DIR: terrainDir, FELLMARK_LOG_LEVEL: "error" });
  const request = buildIslandRequest();
  const { body: job } = await post(service.address, { ...request, area: { ...request.area, radiusM: 8_000 } });
  expect((await lastState(service.address, job.id)).state).toBe("done");
  const source = { kind: "coverage", id: job.id };
  const put = { version: 1, source, title: "Plans on the island", attribution: "Tollivast Air Link" };
  expect((await send("PUT", LAYER, put)).status).toBe(201);
  expect((await send("POST", `${LAYER}/publish`, { version: 1 })).status).toBe(200);
  base = `${service.address}${LAYER}/latest`;
  tileJson = (await (await fetch(`${base}/tilejson.json`)).json()) as TileJson;
}, 300_000);
afterAll(async () => {
  await service?.remove();
  terrain.remove();
});

function send(method: string, path: string, body: object): Promise<Response> {
  const headers = { "content-type": "application/json" };
  return fetch(`${service.address}${path}`, { method, headers, body: JSON.stringify(body) });
}

/** The tile at the middle of the layer at its finest zoom. */
function findMiddleTile(): { z: number; x: number; y: number } {
  const [west, south, east, north] = tileJson.bounds;
  const z = tileJson.maxzoom;
  const lat = ((south + north) / 2) * (Math.PI / 180);
  const x = Math.floor((((west + east) / 2 + 180) / 360) * 2 ** z);
  return { z, x, y: Math.floor((0.5 - Math.asinh(Math.tan(lat)) / (2 * Math.PI)) * 2 ** z) };
}

test("replies are as the OpenAPI document says", async () => {
  const documentation = await readDocumentation(service.address);
  const read = async (path: string) => (await fetch(`${service.address}${path}`)).json();
  for (const [path, template] of [
    ["/v1/layers", "/v1/layers"],
    [LAYER, "/v1/layers/{layer}"],
    [`${LAYER}/versions`, "/v1/layers/{layer}/versions"],
    [`${LAYER}/tokens`, "/v1/layers/{layer}/tokens"],
    [`${LAYER}/latest/areas.geojson`, "/v1/layers/{layer}/{version}/areas.geojson"],
    [`${LAYER}/latest/tilejson.json`, "/v1/layers/{layer}/{version}/tilejson.json"],
  ] as const)
    expect([path, documentation.faults(template, await read(path))]).toEqual([path, []]);
});

test("the archive is read over HTTP by the package pmtiles and holds the tiles that are served", async () => {
  const archive = new PMTiles(new FetchSource(`${base}/archive.pmtiles`));
  expect(await archive.getHeader()).toMatchObject({ minZoom: tileJson.minzoom, maxZoom: tileJson.maxzoom });
  const { z, x, y } = findMiddleTile();
  const served = await (await fetch(`${base}/tiles/${z}/${x}/${y}.mvt`)).arrayBuffer();
  const kept = await archive.getZxy(z, x, y);
  expect(Buffer.compare(Buffer.from(kept?.data ?? new ArrayBuffer(0)), Buffer.from(served))).toBe(0);
});

/** Opens a vector tile, the areas and the picture tiles as a GIS does, over HTTP. */
const OPEN_AS_GIS = `
import json, sys
from osgeo import gdal, ogr
gdal.UseExceptions(); ogr.UseExceptions()
base, z, x, y = sys.argv[1], int(sys.argv[2]), sys.argv[3], sys.argv[4]
tile = gdal.OpenEx(f"MVT:/vsicurl/{base}/tiles/{z}/{x}/{y}.mvt", gdal.OF_VECTOR)
layer = tile.GetLayerByName("tiers")
classes = sorted({feature["class"] for feature in layer})
srs = layer.GetSpatialRef().GetAuthorityCode(None)
source = ogr.Open(f"/vsicurl/{base}/areas.geojson")
areas = source.GetLayer(0)
valid = all(feature.GetGeometryRef().IsValid() for feature in areas)
service = f"""<GDAL_WMS><Service name="TMS"><ServerUrl>{base}/tiles/\${{z}}/\${{x}}/\${{y}}.png</ServerUrl></Service>
<DataWindow><UpperLeftX>-20037508.34</UpperLeftX><UpperLeftY>20037508.34</UpperLeftY>
<LowerRightX>20037508.34</LowerRightX><LowerRightY>-20037508.34</LowerRightY>
<TileLevel>{z}</TileLevel><TileCountX>1</TileCountX><TileCountY>1</TileCountY><YOrigin>top</YOrigin></DataWindow>
<Projection>EPSG:3857</Projection><BlockSizeX>256</BlockSizeX><BlockSizeY>256</BlockSizeY><BandsCount>4</BandsCount>
<ZeroBlockHttpCodes>204,404</ZeroBlockHttpCodes></GDAL_WMS>"""
picture = gdal.Open(service)
alpha = picture.GetRasterBand(4).ReadRaster(256 * int(x), 256 * int(y), 256, 256)
print(json.dumps([classes, srs, areas.GetFeatureCount(), valid, sum(one > 0 for one in alpha)]))
`;

describe.skipIf(!needsOsgeo())("GDAL", () => {
  test("opens vector tiles, areas and picture tiles over HTTP", () => {
    const { z, x, y } = findMiddleTile();
    const words = [base, z, x, y].map(String);
    const read = execFileSync(PYTHON, ["-c", OPEN_AS_GIS, ...words], { encoding: "utf8" });
    const [classes, srs, areas, valid, drawnPixels] = JSON.parse(read);
    expect(classes).toContain("plan");
    expect([srs, valid]).toEqual(["3857", true]);
    expect(areas).toBeGreaterThan(1);
    expect(drawnPixels).toBeGreaterThan(10_000);
  });
});

describe.skipIf(!needs("chromium", hasCommand("chromium")))("a map library in a browser", () => {
  /** The page and the library's files on an origin of their own. */
  async function servePage() {
    const server = createServer((req, res) => {
      const name = new URL(req.url ?? "/", "http://page").pathname.slice(1);
      const type = name.endsWith(".css") ? "text/css" : name.endsWith(".mjs") ? "text/javascript" : "text/html";
      const file = join(MAP_LIBRARY, name);
      res.writeHead(existsSync(file) ? 200 : 404, { "Content-Type": type });
      res.end(name === "" ? PAGE : existsSync(file) ? readFileSync(file) : "");
    });
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    return { server, origin: `http://127.0.0.1:${(server.address() as AddressInfo).port}` };
  }

  test("draws the layer from its style document with a token, and nothing without one", async () => {
    const { server, origin } = await servePage();
    const expiresAt = new Date(Date.now() + 3_600_000).toISOString();
    const made = await send("POST", `${LAYER}/tokens`, { origins: [origin], expiresAt });
    const { style } = (await made.json()) as { style: string };
    const browser = await chromium.launch({
      executablePath: "/usr/bin/chromium",
      args: [
        "--use-gl=angle",
        "--use-angle=swiftshader",
        "--enable-unsafe-swiftshader",
        "--no-sandbox",
        "--disable-quic",
      ],
    });
    try {
      const page = await browser.newPage({ viewport: { width: 816, height: 616 } });
      await page.goto(`${origin}/?style=${encodeURIComponent(style)}`);
      await page.waitForFunction("window.drawn?.length > 0 || window.faults.length > 0", undefined, {
        timeout: 90_000,
      });
      expect(await page.evaluate("window.faults")).toEqual([]);
      const drawn = (await page.evaluate("window.drawn")) as { class: string; plan?: string }[];
      expect(new Set(drawn.map(({ plan }) => plan))).toContain("hearth-100");
      const shot = await page.screenshot(process.env.LAYER_SHOT ? { path: process.env.LAYER_SHOT } : {});
      expect(shot.length).toBeGreaterThan(10_000);

      await page.goto(`${origin}/?style=${encodeURIComponent(`${base}/style.json`)}`);
      await page.waitForFunction("window.faults.length > 0", undefined, { timeout: 30_000 });
      expect(await page.evaluate("window.drawn?.length ?? 0")).toBe(0);
    } finally {
      await browser.close();
      server.close();
    }
  });
});
