import { existsSync } from "node:fs";
import { join } from "node:path";
import { setTimeout } from "node:timers/promises";
import type { LonLat } from "@fellmark/geodesy";
import { createTempDir } from "@fellmark/testkit";
import { drawnPlaces, largeNetwork, TILE, writeFineTile } from "./answer-scene.ts";
import type { Bench, BenchResult } from "./report.ts";
import { startService } from "./service.ts";

const ANSWERS = 500;
/** After a network is opened its sectors are heard in turn, which takes half a minute of the child's time. */
const WARM_UPS = 3000;
const MEDIAN_TARGET_MS = 8;
const P99_LIMIT_MS = 25;

/** POST /v1/serviceability, one after the other, on a network of 200 sites and 600 sectors over one degree of 1" terrain. */
export const answerBench: Bench = async ({ terrainDir, seed }) => {
  if (!existsSync(join(terrainDir, TILE.name)))
    return { results: [], skipped: [{ id: "answer", reason: `no ${TILE.name}` }] };
  const terrain = createTempDir("fellmark-bench-");
  const data = createTempDir("fellmark-bench-");
  writeFineTile(terrainDir, terrain.path);
  const api = await startService("api", {
    FELLMARK_DATA_DIR: data.path,
    FELLMARK_TERRAIN_DIR: terrain.path,
    FELLMARK_LOG_LEVEL: "error",
  });
  try {
    return { results: [await answerRow(api.greeting.address as string, seed)], skipped: [] };
  } finally {
    await api.stop();
    data.remove();
    terrain.remove();
  }
};

async function answerRow(address: string, seed: number): Promise<BenchResult> {
  await send(`${address}/v1/network`, "PUT", largeNetwork(seed));
  const box = [TILE.west + 0.1, TILE.south + 0.1, TILE.west + 0.9, TILE.south + 0.9];
  const places = drawnPlaces(WARM_UPS + ANSWERS, box, seed);
  const millis: number[] = [];
  for (const [index, place] of places.entries()) {
    const start = performance.now();
    await ask(address, place);
    if (index >= WARM_UPS) millis.push(performance.now() - start);
  }
  millis.sort((a, b) => a - b);
  const at = (share: number) => millis[Math.ceil(share * ANSWERS) - 1];
  const [value, p99] = [at(0.5), at(0.99)];
  const check = { what: "ms at the 99th percentile", value: p99, limit: P99_LIMIT_MS, pass: p99 <= P99_LIMIT_MS };
  const range = { min: millis[0], max: millis[ANSWERS - 1] };
  const pass = value <= MEDIAN_TARGET_MS && check.pass;
  return { id: "answer", value, unit: "ms", n: ANSWERS, ...range, target: MEDIAN_TARGET_MS, pass, check };
}

async function ask(address: string, { lon, lat }: LonLat): Promise<void> {
  const answer = await send(`${address}/v1/serviceability`, "POST", { version: 1, place: { at: [lon, lat] } });
  if (answer.verdict === "not-known") throw new Error(`nothing is known at ${lon}, ${lat}`);
}

async function send(address: string, method: string, body: unknown): Promise<{ verdict?: string }> {
  const headers = { "content-type": "application/json" };
  const reply = await fetch(address, { method, headers, body: JSON.stringify(body) });
  if (reply.status === 503) {
    // The network is still being opened.
    await setTimeout(1000 * Number(reply.headers.get("retry-after") ?? 1));
    return send(address, method, body);
  }
  if (!reply.ok) throw new Error(`${method} ${address}: ${reply.status} ${await reply.text()}`);
  return (await reply.json()) as { verdict?: string };
}
