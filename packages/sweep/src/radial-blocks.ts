import { createRadialKernel, sweepRadial } from "./radial-kernel.ts";
import { type LossRasters, type SweepSetup, sweepGeometry } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";

/** Radials handed to a thread at a time. */
export const BLOCK_RADIALS = 32;

/** The radials of a sweep, shared out among the threads by a counter. */
export interface RadialTask {
  setup: SweepSetup;
  plan: SweepPlan;
  rasters: LossRasters;
  /** Shared memory: [next block, 1 to stop early]. */
  control: Int32Array;
}

/** The module that threads load for a RadialTask. */
export const RADIALS_MODULE = new URL("../dist/radial-blocks.js", import.meta.url).href;

/** Takes blocks of radials from the counter until none is left or a stop is asked for. */
export function runTask(task: RadialTask): void {
  const geometry = sweepGeometry(task.setup);
  const kernel = createRadialKernel(task.setup, geometry, task.plan, task.rasters);
  const blocks = Math.ceil(geometry.radialCount / BLOCK_RADIALS);
  while (Atomics.load(task.control, 1) === 0) {
    const block = Atomics.add(task.control, 0, 1);
    if (block >= blocks) return;
    const end = Math.min(geometry.radialCount, (block + 1) * BLOCK_RADIALS);
    for (let radial = block * BLOCK_RADIALS; radial < end; radial++) sweepRadial(kernel, radial);
  }
}
