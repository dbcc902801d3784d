export { sampleBilinear } from "./bilinear.ts";
export { CancelledError } from "./cancelled.ts";
export {
  buildGeodesicProfile,
  computeLiteralExcessDb,
  createRadialProfiles,
  findCellCentre,
  type PackedCell,
} from "./literal-cell.ts";
export { createPlanCache, type PlanCache } from "./plan-cache.ts";
export { planSweep, type SweepWatch, sweep } from "./sweep.ts";
export {
  CELL_CLASS,
  createLossRasters,
  type GroundGrids,
  type LossRasters,
  type SweepArea,
  type SweepSetup,
} from "./sweep-frame.ts";
export type { SweepPlan } from "./sweep-plan.ts";
export { createThreadPool, type ThreadPool } from "./thread-pool.ts";
