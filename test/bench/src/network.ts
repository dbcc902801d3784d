import {
  buildLayerJob,
  computeStrip,
  createLossCache,
  createRow,
  createStripRasters,
  type KeptRows,
  type LayerJob,
  prepareScene,
} from "@fellmark/coverage";
import { createPlanCache, createThreadPool } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createTempDir } from "@fellmark/testkit";
import { networkRequest, parsedNetwork } from "./network-scene.ts";
import { type Bench, type BenchResult, measure } from "./report.ts";
import { secondsToResult, startService } from "./service.ts";

const RUNS = 5;
const WARM_UPS = 2;
const CACHE_BYTES = 2 ** 31;

/** Rows of the window that the swap is measured on: as many as keep their state in memory at ease. */
const SWAP_ROWS = 256;
const SWAP_RUNS = 15;
const SWAPPED = 4;

/** A network of twelve sectors: whole through the service with its losses at hand, and anew after one is swapped. */
export const networkBench: Bench = async ({ terrainDir }) => ({
  results: [await wholeRow(terrainDir), ...(await swapRows(terrainDir))],
  skipped: [],
});

async function wholeRow(terrainDir: string): Promise<BenchResult> {
  const data = createTempDir("fellmark-bench-");
  const environment = { FELLMARK_DATA_DIR: data.path, FELLMARK_TERRAIN_DIR: terrainDir, FELLMARK_LOG_LEVEL: "error" };
  const api = await startService("api", environment);
  try {
    const seconds: number[] = [];
    for (let run = 0; run < WARM_UPS + RUNS; run++) {
      const taken = await secondsToResult(api.greeting.address as string, networkRequest(run));
      if (run >= WARM_UPS) seconds.push(taken);
    }
    seconds.sort((a, b) => a - b);
    const value = seconds[seconds.length >> 1];
    const range = { min: seconds[0], max: seconds[seconds.length - 1] };
    return { id: "network.12", value, unit: "s", n: RUNS, ...range, target: 4, pass: value <= 4 };
  } finally {
    await api.stop();
    data.remove();
  }
}

/** On this one thread: the levels of one sector anew, then servers and SINR; and with uplink, rate and tier. */
async function swapRows(terrainDir: string): Promise<BenchResult[]> {
  const cache = createTempDir("fellmark-bench-");
  const pool = createThreadPool(2);
  try {
    const engine = {
      pool,
      plans: createPlanCache(2 ** 27),
      losses: createLossCache(cache.path, { maxBytes: CACHE_BYTES }),
    };
    const catalogue = await openCatalogue(terrainDir);
    const request = parsedNetwork();
    const scene = await prepareScene(engine, catalogue, request);
    const job = buildLayerJob(scene);
    return [await swapRow(job, "swap.12", 110), await swapRow(job, "swap.12.rated", 250)];
  } finally {
    await pool.close();
    cache.remove();
  }
}

async function swapRow(job: LayerJob, id: string, targetNs: number): Promise<BenchResult> {
  const fromRow = (job.window.height - SWAP_ROWS) >> 1;
  const out = createStripRasters(job.window.width, SWAP_ROWS, false);
  const kept: KeptRows = { rows: Array.from({ length: SWAP_ROWS }, () => createRow(job)), changed: null };
  const stopAfter = id === "swap.12" ? ("sinr" as const) : undefined;
  const run = () => computeStrip({ job, fromRow, rows: SWAP_ROWS, out, kept, ...(stopAfter && { stopAfter }) });
  run();
  kept.changed = [SWAPPED];
  const { median, n, min, max } = await measure(SWAP_RUNS, 3, run);
  const cells = kept.rows.reduce((sum, { inArea }) => sum + inArea.reduce((inside, cell) => inside + cell, 0), 0);
  const perCellNs = (median / cells) * 1e9;
  const time = { value: median, unit: "s", n, min, max, cells, perCellNs };
  return { id, ...time, target: targetNs, targetUnit: "ns/cell", pass: perCellNs <= targetNs };
}
