import { createTempDir, hasCommand, spawnRedis } from "@fellmark/testkit";
import type { Bench, BenchResult, BenchSkip } from "./report.ts";
import { peakMemoryBytes, type RunningService, secondsToResult, startService } from "./service.ts";

const RUNS = 5;
const WARM_UPS = 2;
const MEMORY_LIMIT_BYTES = 500 * 2 ** 20;

/** From POST to the published result, through the real processes; every run has a new mast, so no loss is cached. */
export const endToEndBench: Bench = async ({ terrainDir }) => {
  const results: BenchResult[] = [await embeddedRow(terrainDir)];
  const skipped: BenchSkip[] = [];
  if (hasCommand("redis-server")) results.push(...(await redisRows(terrainDir)));
  else skipped.push({ id: "end-to-end.redis", reason: "no redis-server" });
  return { results, skipped };
};

async function embeddedRow(terrainDir: string): Promise<BenchResult> {
  const data = createTempDir("fellmark-bench-");
  const api = await startService("api", environment(data.path, terrainDir));
  try {
    return await timedRow("end-to-end.embedded", api, 2);
  } finally {
    await api.stop();
    data.remove();
  }
}

async function redisRows(terrainDir: string): Promise<BenchResult[]> {
  const data = createTempDir("fellmark-bench-");
  const redis = await spawnRedis();
  const env = { ...environment(data.path, terrainDir), REDIS_URL: redis.url };
  const api = await startService("api", env);
  const worker = await startService("worker", { ...env, FELLMARK_LOG_LEVEL: "info" });
  try {
    return [await timedRow("end-to-end.redis", api, 2.3), await memoryRow(api, worker)];
  } finally {
    await worker.stop();
    await api.stop();
    await redis.stop();
    data.remove();
  }
}

function environment(dataDir: string, terrainDir: string): Record<string, string> {
  return { FELLMARK_DATA_DIR: dataDir, FELLMARK_TERRAIN_DIR: terrainDir, FELLMARK_LOG_LEVEL: "error" };
}

async function timedRow(id: string, api: RunningService, target: number): Promise<BenchResult> {
  const seconds: number[] = [];
  for (let run = 0; run < WARM_UPS + RUNS; run++) {
    const taken = await secondsToResult(api.greeting.address as string, threeSectors(run, 12));
    if (run >= WARM_UPS) seconds.push(taken);
  }
  seconds.sort((a, b) => a - b);
  const value = seconds[seconds.length >> 1];
  const range = { min: seconds[0], max: seconds[seconds.length - 1] };
  return { id, value, unit: "s", n: RUNS, ...range, target, pass: value <= target };
}

/** Worker and compute child together, over a job of 20 km at zoom 13. */
async function memoryRow(api: RunningService, worker: RunningService): Promise<BenchResult> {
  await secondsToResult(api.greeting.address as string, threeSectors(0, 13));
  const bytes = peakMemoryBytes(worker.pid);
  const value = bytes / 2 ** 20;
  const target = MEMORY_LIMIT_BYTES / 2 ** 20;
  const id = "end-to-end.memory";
  return { id, value, unit: "MB", n: 1, min: value, max: value, target, pass: bytes <= MEMORY_LIMIT_BYTES };
}

/** Three sectors on one mast on the ridge, 20 km, published quality; each number is another place a few metres on. */
function threeSectors(number: number, zoom: number) {
  const sector = (id: string, azimuthDeg: number, centreMhz: number) => ({
    id,
    site: "ridge",
    antenna: "panel",
    radio: "radio",
    heightAglM: 30,
    azimuthDeg,
    downtiltDeg: 2,
    channel: { centreMhz, widthMhz: 20 },
    powerDbm: 24,
  });
  return {
    version: 1,
    name: `bench ${number}`,
    area: { radiusM: 20_000, zoom },
    model: { clutter: { class: "open", heightM: 0 } },
    sites: [{ id: "ridge", lon: -76.7488, lat: 40.7763 + number * 0.0001 }],
    antennas: [
      { id: "cpe", kind: "isotropic", gainDbi: 20 },
      { id: "panel", kind: "tr38901" },
    ],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: [sector("north", 0, 5600), sector("south-east", 120, 5640), sector("south-west", 240, 5680)],
    cpe: { antenna: "cpe", radio: "radio", heightAglM: 6, powerDbm: 24 },
    plans: [
      { id: "fast", downMbps: 100, upMbps: 20 },
      { id: "basic", downMbps: 25, upMbps: 5 },
    ],
    outputs: ["tiers"],
  };
}
