export { type Advice, adviceOf, type ChannelReport, type PlanReport, type SectorAdvice } from "./advice/advice.ts";
export type { AdviceProblem } from "./advice/advice-problem.ts";
export { type AdviceChoice, adviceProblem } from "./advice/problem-of-request.ts";
export {
  type CapacityPlace,
  FULL_UTILISATION,
  OVERSUBSCRIPTION,
  type SectorCapacity,
  sectorCapacity,
} from "./advice/sector-capacity.ts";
export { type Answer, answerAt, type PlaceQuestion, type Verdict } from "./answer/answer.ts";
export { answerFromProfile, type SurveyedProfile } from "./answer/answer-from-profile.ts";
export type { AnswerInputs } from "./answer/answer-inputs.ts";
export type { AnswerLink } from "./answer/answer-link.ts";
export { answerMany, type PlaceAsked } from "./answer/answer-many.ts";
export { type MastPath, mastPath, pathLoss } from "./answer/mast-path.ts";
export { type AnswerScene, type PrepareOptions, prepareAnswers } from "./answer/scene.ts";
export type { PlanStanding } from "./answer/verdict.ts";
export * from "./cancelled.ts";
export { CAUTION } from "./caution.ts";
export * from "./comparison/compare.ts";
export type { CoveredArea } from "./comparison/covered-cells.ts";
export { cellOfPlace } from "./comparison/places.ts";
export type { SectorChange } from "./comparison/sector-changes.ts";
export type { SinrChange } from "./comparison/sinr-change.ts";
export * from "./coverage.ts";
export { readGround } from "./ground-grids.ts";
export { groundHeightAt } from "./ground-height.ts";
export { buildLayerJob } from "./layers/build-layer-job.ts";
export { bakeGainTable, fieldToward } from "./layers/gain-table.ts";
export {
  CAUSES,
  type Cause,
  emptyStripRasters,
  type LayerJob,
  NO_DATA,
  NO_RATE,
  type StripRasters,
} from "./layers/layer-job.ts";
export { emptyRow } from "./layers/row.ts";
export { computeStrip, type KeptRows } from "./layers/strip.ts";
export { createLevelStore, type LevelStore } from "./level-store.ts";
export * from "./link/link-budget.ts";
export * from "./link/patterns.ts";
export { createLossCache, type LossCache, type TerrainUse } from "./loss-cache.ts";
export { effectiveEarthRadiusM, type Mast, mastsOf } from "./mast.ts";
export { type DiscLoss, type Engine, lossOfMast, type MastLoss } from "./mast-loss.ts";
export * from "./model-version.ts";
export type { NoiseCauses, SectorNoise } from "./sector-noise/sector-noise.ts";
export { type AnsweringNetwork, openAnsweringNetwork } from "./serviceability/answering-network.ts";
export { type Installation, type InstallReport, installReport } from "./serviceability/install.ts";
export type { InstallCause } from "./serviceability/install-causes.ts";
export { measuredSubscribers, type RejectedRow } from "./serviceability/measured-links.ts";
export { type Mount, mountedAnswer, mountOf } from "./serviceability/mount.ts";
export { type CorrectionReport, ownCorrection } from "./serviceability/own-correction.ts";
export { answerOfPin, pinClause, pinPoints } from "./serviceability/pin.ts";
export { type Serviceability, type ServiceQuestion, serviceabilityAt } from "./serviceability/serviceability.ts";
export { createSubscriberRates, type SubscriberRates } from "./serviceability/subscriber-rates.ts";
export { cellCentre, geodesicProfile, literalExcessDb, type PackedCell, radialProfiles } from "./sweep/literal-cell.ts";
export { createPlanCache, type PlanCache } from "./sweep/plan-cache.ts";
export { planSweep, type SweepWatch, sweep } from "./sweep/sweep.ts";
export {
  CELL_CLASS,
  type LossRasters,
  type SweepGeometry,
  type SweepSetup,
  sweepGeometry,
} from "./sweep/sweep-frame.ts";
export type { SweepPlan } from "./sweep/sweep-plan.ts";
export { createThreadPool, type ThreadPool } from "./thread-pool.ts";
export {
  CLUTTER_UNKNOWN,
  canopyWarnings,
  methodWarnings,
  ruleWarnings,
  TERRAIN_MAY_BE_SURFACE,
  type Warning,
} from "./warnings.ts";
