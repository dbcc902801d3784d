import {
  buildGeodesicProfile,
  computeLiteralExcessDb,
  findCellCentre,
  type PackedCell,
  planSweep,
  type SweepSetup,
  sweep,
  type ThreadPool,
} from "@fellmark/sweep";
import { type LonLatBox, openMosaic, readProfile, type TerrainCatalogue, type TerrainMosaic } from "@fellmark/terrain";
import { createSeededRandom } from "@fellmark/testkit";
import type { BenchResult } from "./report.ts";
import { ridgeSetup, sampleCells } from "./ridge-scene.ts";

const CELLS = 2000;
const RADIUS_M = 20_000;
const BOX_MARGIN_DEG = 0.3;

/** Accuracy mode against the exact path to each cell's centre: on the same lattice, and on the native raster. */
export async function accuracyRows(
  pool: ThreadPool,
  catalogue: TerrainCatalogue,
  seed: number,
): Promise<BenchResult[]> {
  const setup = await ridgeSetup(catalogue, 12, RADIUS_M, 4);
  const plan = await planSweep(pool, setup);
  const { excessDb } = await sweep(pool, setup, plan);
  const mosaic = await openMosaic(catalogue, ["default"], boxAround(setup));
  const cells = sampleCells(plan, CELLS, createSeededRandom(seed)).map(({ cell }) => cell);
  const sweptDb = (cell: PackedCell) => excessDb[(cell >>> 16) * setup.window.width + (cell & 0xffff)];
  const lattice = cells.map((cell) => sweptDb(cell) - computeLiteralExcessDb(setup, buildGeodesicProfile(setup, cell)));
  const native = cells.map((cell) => sweptDb(cell) - computeLiteralExcessDb(setup, nativeProfile(setup, mosaic, cell)));
  return [
    percentileRow("sweep.accuracy.lattice", lattice, 95, 0.35),
    percentileRow("sweep.accuracy.lattice.p99", lattice, 99, 1.5),
    percentileRow("sweep.accuracy.native", native, 95, 0.7),
    percentileRow("sweep.accuracy.native.p99", native, 99, 2),
    medianRow("sweep.accuracy.native.median", native, 0.1),
  ];
}

function boxAround({ mast }: SweepSetup): LonLatBox {
  return [mast.lon - BOX_MARGIN_DEG, mast.lat - BOX_MARGIN_DEG, mast.lon + BOX_MARGIN_DEG, mast.lat + BOX_MARGIN_DEG];
}

/** The exact path at half the raster's own step. */
function nativeProfile(setup: SweepSetup, mosaic: TerrainMosaic, cell: PackedCell) {
  const { distanceM, heightAmslM } = readProfile(mosaic, setup.mast, findCellCentre(setup, cell), mosaic.stepM / 2);
  const heights = { surfaceAmslM: heightAmslM, solidAmslM: heightAmslM, bareAmslM: heightAmslM };
  return { distanceM, ...heights, rxHeightAglM: setup.cpeHeightAglM };
}

function percentileRow(id: string, errorsDb: number[], percent: number, target: number): BenchResult {
  const sorted = errorsDb.map(Math.abs).sort((a, b) => a - b);
  const value = sorted[Math.ceil((percent / 100) * sorted.length) - 1];
  const check = { what: `p${percent} of |error|, dB`, value, limit: target, pass: value <= target };
  const max = sorted[sorted.length - 1];
  return { id, value, unit: "dB", n: sorted.length, min: sorted[0], max, target, pass: check.pass, check };
}

function medianRow(id: string, errorsDb: number[], target: number): BenchResult {
  const sorted = errorsDb.toSorted((a, b) => a - b);
  const value = sorted[sorted.length >> 1];
  const pass = Math.abs(value) <= target;
  const check = { what: "median error, dB", value, limit: target, pass };
  return {
    id,
    value,
    unit: "dB",
    n: sorted.length,
    min: sorted[0],
    max: sorted[sorted.length - 1],
    target,
    pass,
    check,
  };
}
