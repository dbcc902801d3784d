import {
  computeLiteralExcessDb,
  createRadialProfiles,
  createThreadPool,
  planSweep,
  type SweepSetup,
  sweep,
  type ThreadPool,
} from "@fellmark/sweep";
import { openCatalogue, type TerrainCatalogue } from "@fellmark/terrain";
import { createSeededRandom, createTempDir, hasCommand } from "@fellmark/testkit";
import { type Bench, type BenchResult, type BenchSkip, measure } from "./report.ts";
import { ridgeSetup, sampleCells, withClutter } from "./ridge-scene.ts";
import { accuracyRows } from "./sweep-accuracy.ts";
import { gdalVersion, viewshedSeconds } from "./viewshed-peer.ts";

const RADIUS_M = 20_000;
const THREADS = 2;
const RUNS = 9;
const PEER_RUNS = 5;
/** Sweeps before those that are timed. */
const WARM_UPS = 3;
const EXACT_CELLS = 10_000;
/** Time with clutter on the way over that on bare ground. */
const CLUTTER_RATIO = 1.6;

interface Timed {
  id: string;
  zoom: number;
  density: number;
  targetNs: number;
  peerRatio?: number;
}

const TIMED: readonly Timed[] = [
  { id: "sweep.z12.warm", zoom: 12, density: 1, targetNs: 110, peerRatio: 1.5 },
  { id: "sweep.z13.warm", zoom: 13, density: 1, targetNs: 100, peerRatio: 4 },
  { id: "sweep.z12.accurate", zoom: 12, density: 4, targetNs: 220 },
];

/** The loss raster of a mast on real terrain: speed, growth, exactness and accuracy. */
export const sweepBench: Bench = async ({ terrainDir, seed }) => {
  const catalogue = await openCatalogue(terrainDir);
  const pool = createThreadPool(THREADS);
  const folder = createTempDir("fellmark-bench-");
  const skipped: BenchSkip[] = [];
  const withPeer = hasCommand("gdal_viewshed");
  if (!withPeer) skipped.push({ id: "peer", reason: "no gdal_viewshed" });
  try {
    const results: BenchResult[] = [];
    for (const timed of TIMED) {
      const setup = await ridgeSetup(catalogue, timed.zoom, RADIUS_M, timed.density);
      results.push(await warmRow(pool, setup, timed, withPeer ? folder.path : undefined));
    }
    results.push(await clutterRow(pool, catalogue, seed));
    results.push(await coldRow(pool, catalogue, results[0].value));
    results.push(await growthRow(pool, catalogue));
    results.push(await exactRow(pool, catalogue, seed, true), await exactRow(pool, catalogue, seed, false));
    results.push(...(await accuracyRows(pool, catalogue, seed)));
    return { results, skipped };
  } finally {
    await pool.close();
    folder.remove();
  }
};

/** The sweep alone, with its plan at hand. */
async function warmRow(pool: ThreadPool, setup: SweepSetup, timed: Timed, folder?: string): Promise<BenchResult> {
  const plan = await planSweep(pool, setup);
  const time = await measure(RUNS, WARM_UPS, async () => {
    await sweep(pool, setup, plan);
  });
  const perCellNs = (time.median / plan.cells.length) * 1e9;
  const row: BenchResult = {
    id: timed.id,
    value: time.median,
    unit: "s",
    n: time.n,
    min: time.min,
    max: time.max,
    cells: plan.cells.length,
    perCellNs,
    target: timed.targetNs,
    targetUnit: "ns/cell",
    pass: perCellNs <= timed.targetNs,
  };
  if (timed.peerRatio === undefined || folder === undefined) return row;
  const value = await viewshedSeconds(setup, folder, PEER_RUNS);
  const ratio = time.median / value;
  const peer = { name: await gdalVersion(), value, ratio, ratioTarget: timed.peerRatio };
  return { ...row, peer, pass: row.pass && ratio <= timed.peerRatio };
}

/** Clutter on the ground, so that two height arrays are read, beside the bare ground in the same run. */
async function clutterRow(pool: ThreadPool, catalogue: TerrainCatalogue, seed: number): Promise<BenchResult> {
  const bare = await ridgeSetup(catalogue, 12, RADIUS_M, 1);
  const plan = await planSweep(pool, bare);
  const covered = withClutter(bare, createSeededRandom(seed));
  const timeOf = (setup: SweepSetup) => measure(RUNS, WARM_UPS, async () => void (await sweep(pool, setup, plan)));
  const without = await timeOf(bare);
  const time = await timeOf(covered);
  const ratio = time.median / without.median;
  return {
    id: "sweep.clutter",
    value: time.median,
    unit: "s",
    n: time.n,
    min: time.min,
    max: time.max,
    cells: plan.cells.length,
    perCellNs: (time.median / plan.cells.length) * 1e9,
    target: CLUTTER_RATIO * without.median,
    targetUnit: `s (${CLUTTER_RATIO}x bare)`,
    pass: ratio <= CLUTTER_RATIO,
    peer: { name: "bare ground", value: without.median, ratio, ratioTarget: CLUTTER_RATIO },
  };
}

/** A new mast: its plan and its sweep. */
async function coldRow(pool: ThreadPool, catalogue: TerrainCatalogue, warmS: number): Promise<BenchResult> {
  const setup = await ridgeSetup(catalogue, 12, RADIUS_M, 1);
  const { median, n, min, max } = await measure(RUNS, 1, async () => {
    await sweep(pool, setup, await planSweep(pool, setup));
  });
  const target = 2 * warmS;
  return {
    id: "sweep.z12.cold",
    value: median,
    unit: "s",
    n,
    min,
    max,
    target,
    targetUnit: "s (2x warm)",
    pass: median <= target,
  };
}

/** Greatest over least time a cell from 5 to 20 km. */
async function growthRow(pool: ThreadPool, catalogue: TerrainCatalogue): Promise<BenchResult> {
  const perCell: number[] = [];
  for (const radiusM of [5_000, 10_000, 15_000, 20_000]) {
    const setup = await ridgeSetup(catalogue, 13, radiusM, 1);
    const plan = await planSweep(pool, setup);
    const { median } = await measure(RUNS, WARM_UPS, async () => {
      await sweep(pool, setup, plan);
    });
    perCell.push(median / plan.cells.length);
  }
  const min = Math.min(...perCell) * 1e9;
  const max = Math.max(...perCell) * 1e9;
  const value = max / min;
  return {
    id: "sweep.growth",
    value,
    unit: "max/min of ns a cell",
    n: RUNS,
    min,
    max,
    target: 1.25,
    pass: value <= 1.25,
  };
}

/** The sweep against the literal method over the same samples, on real terrain. */
async function exactRow(
  pool: ThreadPool,
  catalogue: TerrainCatalogue,
  seed: number,
  useTables: boolean,
): Promise<BenchResult> {
  const setup = { ...(await ridgeSetup(catalogue, 12, RADIUS_M, 1)), useTables };
  const plan = await planSweep(pool, setup);
  const { excessDb } = await sweep(pool, setup, plan);
  const profileOf = createRadialProfiles(setup);
  let worst = 0;
  for (const { cell, radial } of sampleCells(plan, EXACT_CELLS, createSeededRandom(seed))) {
    const got = excessDb[(cell >>> 16) * setup.window.width + (cell & 0xffff)];
    worst = Math.max(worst, Math.abs(got - computeLiteralExcessDb(setup, profileOf(radial, cell))));
  }
  // The raster holds 32 bits: half a unit in the last place of 128 to 256 dB is 7.6e-6 dB.
  const limit = useTables ? 1e-5 : 7.7e-6;
  const id = useTables ? "sweep.exact" : "sweep.exact.formulas";
  const check = { what: "max dB against literal", value: worst, limit, pass: worst <= limit };
  return { id, value: worst, unit: "dB", n: EXACT_CELLS, min: 0, max: worst, target: limit, pass: check.pass, check };
}
