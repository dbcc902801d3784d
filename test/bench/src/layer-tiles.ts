import { writeFile } from "node:fs/promises";
import { Agent, request } from "node:http";
import { join } from "node:path";
import { setTimeout } from "node:timers/promises";
import { prepareLayer } from "@fellmark/compute";
import { openStorage } from "@fellmark/jobs";
import { encodeRaster } from "@fellmark/layers";
import { createSeededRandom, createTempDir } from "@fellmark/testkit";
import { measureArchive } from "./layer-archive.ts";
import type { Bench, BenchResult } from "./report.ts";
import { startService } from "./service.ts";
import { tierScene } from "./tier-scene.ts";

const SIZE = 2000;
const WARM_REQUESTS = 1000;
const REQUESTS_PER_SECOND = 200;
const WARM_TARGET_MS = 10;
const COLD_TARGET_MS = 50;

/** Cells of a layer along one tile of its finest zoom. */
const TILE_CELLS = 256;
const ZOOMS = 4;

/**
 * Tiles of a published layer of 2,000 x 2,000 cells in six classes over HTTP: each asked for once on a fresh service, the
 * opening of the layer with them, then at random 200 times a second. Then its archive at 100 km x 100 km.
 */
export const layerTilesBench: Bench = async ({ seed }) => {
  const data = createTempDir("fellmark-bench-");
  const terrain = createTempDir("fellmark-bench-");
  try {
    const { window } = await publishScene(data.path, seed);
    const results: BenchResult[] = [];
    for (const form of ["mvt", "png"] as const) {
      const api = await startService("api", {
        FELLMARK_DATA_DIR: data.path,
        FELLMARK_TERRAIN_DIR: terrain.path,
        FELLMARK_LOG_LEVEL: "error",
        FELLMARK_MAX_REQUESTS_PER_MINUTE: "1000000",
      });
      try {
        const base = `${api.greeting.address}/v1/layers/bench/latest/tiles`;
        results.push(...(await measureForm(listTiles(window, base, form), form, seed)));
      } finally {
        await api.stop();
      }
    }
    return { results: [...results, ...(await measureArchive(seed))], skipped: [] };
  } finally {
    data.remove();
    terrain.remove();
  }
};

/** Publishes the scene as the layer "bench" of a data folder, as PUT and publish do. */
async function publishScene(dataDir: string, seed: number) {
  const { window, plans, classes } = tierScene(SIZE, seed);
  const { ledger, objects, queue } = await openStorage({ dataDir, onError: () => undefined });
  try {
    const classesFile = join(dataDir, "tier-classes.bin");
    const summaryFile = join(dataDir, "summary.json");
    await writeFile(classesFile, await encodeRaster({ plans, levels: [{ window, classes }] }));
    await writeFile(summaryFile, JSON.stringify({ confidence: 0.9, availability: 0.999, cpeHeightAglM: 6 }));
    const facts = { title: "bench", attribution: "", validFrom: "2026-01-01", validUntil: null };
    const outDir = await objects.stage();
    const { description } = await prepareLayer({ classesFile, summaryFile, outDir, facts });
    const key = { tenant: "default", layer: "bench" };
    const source = { kind: "coverage" as const, id: `j${"0".repeat(64)}` };
    const files = await objects.keep(key.tenant, outDir);
    await ledger.layers.putDraft({ ...key, source, description: JSON.stringify(description), files });
    await ledger.layers.publish(key.tenant, key.layer, 1);
  } finally {
    await queue.close(0);
    await ledger.close();
  }
  return { window };
}

/** URLs of the tiles of the finest zooms. */
function listTiles(window: { zoom: number; col0: number; row0: number }, base: string, form: string): string[] {
  return Array.from({ length: ZOOMS }, (_, coarser) => {
    const cells = TILE_CELLS * 2 ** coarser;
    const [west, north] = [Math.floor(window.col0 / cells), Math.floor(window.row0 / cells)];
    const [across, down] = [
      Math.ceil((window.col0 + SIZE) / cells) - west,
      Math.ceil((window.row0 + SIZE) / cells) - north,
    ];
    return Array.from({ length: across * down }, (_, tile) => {
      const place = `${window.zoom - coarser}/${west + (tile % across)}/${north + Math.floor(tile / across)}`;
      return `${base}/${place}.${form}`;
    });
  }).flat();
}

async function measureForm(urls: string[], form: string, seed: number): Promise<BenchResult[]> {
  const agent = new Agent({ keepAlive: true, maxSockets: 64 });
  try {
    const cold: number[] = [];
    for (const url of urls) cold.push(await timeReply(agent, url));
    const random = createSeededRandom(seed);
    const startMs = performance.now();
    const warm = Array.from({ length: WARM_REQUESTS }, async (_, index) => {
      await setTimeout(startMs + (1000 * index) / REQUESTS_PER_SECOND - performance.now());
      return timeReply(agent, urls[Math.floor(urls.length * random())]);
    });
    return [
      toRow(`layer-tiles.${form}.cold`, cold, COLD_TARGET_MS),
      toRow(`layer-tiles.${form}.warm`, await Promise.all(warm), WARM_TARGET_MS),
    ];
  } finally {
    agent.destroy();
  }
}

/** Milliseconds until the whole reply is there. Throws for a status other than 200 and 204. */
function timeReply(agent: Agent, url: string): Promise<number> {
  const startMs = performance.now();
  return new Promise((resolve, reject) => {
    const sent = request(url, { agent, headers: { "Accept-Encoding": "gzip" } }, (reply) => {
      if (reply.statusCode !== 200 && reply.statusCode !== 204)
        reject(new Error(`${url} answered ${reply.statusCode}`));
      reply.on("end", () => resolve(performance.now() - startMs)).resume();
    });
    sent.on("error", reject).end();
  });
}

/** The 99th percentile against its target. */
function toRow(id: string, millis: number[], target: number): BenchResult {
  const sorted = millis.toSorted((a, b) => a - b);
  const value = sorted[Math.ceil(0.99 * sorted.length) - 1];
  const range = { min: sorted[0], max: sorted[sorted.length - 1] };
  return { id, value, unit: "ms", n: sorted.length, ...range, target, targetUnit: "ms (p99)", pass: value <= target };
}
