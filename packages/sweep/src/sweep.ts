import { CancelledError } from "./cancelled.ts";
import { BLOCK_RADIALS, RADIALS_MODULE, type RadialTask } from "./radial-blocks.ts";
import {
  createLossRasters,
  type LossRasters,
  type SweepArea,
  type SweepGeometry,
  type SweepSetup,
  sweepGeometry,
} from "./sweep-frame.ts";
import { countHalf, PLAN_HALF_MODULE, type PlanHalfTask, type SweepPlan } from "./sweep-plan.ts";
import type { ThreadPool } from "./thread-pool.ts";

export interface SweepWatch {
  signal?: AbortSignal;
  /** Share of the radials done, 0..1. */
  onProgress?: (share: number) => void;
}

const PROGRESS_EVERY_MS = 100;

/** Assigns every cell of the disc to its radial, on two threads. */
export async function planSweep(pool: ThreadPool, area: SweepArea): Promise<SweepPlan> {
  const geometry = sweepGeometry(area);
  const east = countHalf(area, geometry, 0);
  const west = countHalf(area, geometry, 1);
  const plan = createPlan(geometry, east + west);
  const run = (input: PlanHalfTask) => pool.run({ module: PLAN_HALF_MODULE, input });
  await Promise.all([run({ area, half: 0, plan, offset: 0 }), run({ area, half: 1, plan, offset: east })]);
  await pool.collect();
  return plan;
}

function createPlan(geometry: SweepGeometry, cells: number): SweepPlan {
  return {
    start: new Uint32Array(new SharedArrayBuffer((geometry.radialCount + 1) * 4)),
    cells: new Uint32Array(new SharedArrayBuffer(cells * 4)),
  };
}

/**
 * Loss, ray angles and class of every cell of the disc.
 * Throws CancelledError when the signal fires; checked after every 32 radials.
 */
export async function sweep(
  pool: ThreadPool,
  setup: SweepSetup,
  plan: SweepPlan,
  watch: SweepWatch = {},
): Promise<LossRasters> {
  const rasters = createLossRasters(setup.window);
  const control = new Int32Array(new SharedArrayBuffer(8));
  const stop = () => Atomics.store(control, 1, 1);
  const blocks = Math.ceil(sweepGeometry(setup).radialCount / BLOCK_RADIALS);
  const report = () => watch.onProgress?.(Math.min(1, Atomics.load(control, 0) / blocks));
  const ticker = setInterval(report, PROGRESS_EVERY_MS);
  watch.signal?.addEventListener("abort", stop);
  try {
    if (watch.signal?.aborted) stop();
    const input: RadialTask = { setup, plan, rasters, control };
    await pool.runOnAll({ module: RADIALS_MODULE, input });
  } finally {
    clearInterval(ticker);
    watch.signal?.removeEventListener("abort", stop);
  }
  if (Atomics.load(control, 1) === 1) throw new CancelledError();
  return rasters;
}
