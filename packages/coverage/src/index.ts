export { type Advice, adviceOf, type ChannelReport, type PlanReport, type SectorAdvice } from "./advice/advice.ts";
export type { AdviceProblem } from "./advice/advice-problem.ts";
export { adviceProblem } from "./advice/problem-of-request.ts";
export { type CapacityPlace, FULL_UTILISATION, sectorCapacity } from "./advice/sector-capacity.ts";
export { CAUTION } from "./caution.ts";
export { mountedHeightM, standsOnRoof } from "./clutter/covered-ground.ts";
export { type Comparison, type ComparisonReport, compareCoverages } from "./comparison/compare.ts";
export type { CoveredArea } from "./comparison/covered-cells.ts";
export { cellOfPlace } from "./comparison/places.ts";
export type { SectorChange } from "./comparison/sector-changes.ts";
export type { SinrChange } from "./comparison/sinr-change.ts";
export { type Coverage, computeCoverage, heardBySectors, prepareScene, type StripSink } from "./coverage.ts";
export {
  boxAround,
  clutterAlong,
  endsOver,
  fineStepsOver,
  type Ground,
  type GroundData,
  groundOf,
  groundOver,
  pathAlong,
  readGroundData,
  stepsOver,
} from "./ground/ground.ts";
export { readGround } from "./ground/ground-grids.ts";
export { groundHeightAt } from "./ground/ground-height.ts";
export { lowAlong, METRES_PER_DEG } from "./ground/low-ground.ts";
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
export { bestPlan } from "./link/best-plan.ts";
export { pathCalibrationDb, sectorBiasDb } from "./link/calibration.ts";
export {
  type ClutterAround,
  type EndsOf,
  endClutterDb,
  isClutterStated,
  isStatistical,
  rasterClutter,
  statedClutter,
  statisticalCpeDb,
  UNKNOWN_CLUTTER,
} from "./link/end-clutter.ts";
export { linkFadeDb } from "./link/fade.ts";
export {
  type BudgetTerm,
  confidenceFactor,
  errorSigmaDb,
  type FixedBudget,
  hasEndClutterLoss,
  type LinkBudget,
  linkBudgets,
} from "./link/link-budget.ts";
export {
  computeDiscrimination,
  computeDownMargin,
  computeHoldProbability,
  computeKeptShare,
  computeSinr,
  computeUpSignal,
  countReached,
  selectStreams,
} from "./link/link-physics.ts";
export { emptyFollowed, followInterferer, meanRateOverStates, rateIndex } from "./link/mean-rate.ts";
export { type Overlap, overlapOf } from "./link/overlap.ts";
export { type Patterns, patternsOf } from "./link/patterns.ts";
export { receivedGainDbi } from "./link/received-pattern.ts";
export { isSplit, scatteredGain, type Transmitter, transmittersOf } from "./link/transmitters.ts";
export type { Engine } from "./loss/engine.ts";
export { createLossCache } from "./loss/loss-cache.ts";
export { type LossCacheLimits, sweepLossCache } from "./loss/loss-cache-files.ts";
export { effectiveEarthRadiusM, MAX_REACH_M } from "./loss/mast.ts";
export { MODEL_VERSION } from "./model-version.ts";
export {
  antennaLine,
  type CoveredLoss,
  type CoveredSetup,
  computeCoveredLoss,
  coveredProfile,
} from "./path/covered-loss.ts";
export { coverPath, evenPath, type MastPath, mastPath } from "./path/mast-path.ts";
export { noiseForCpe, noiseHeard, quietNoise, type SectorNoise } from "./sector-noise/sector-noise.ts";
export { POWER_CONTROL_RANGE_DB, targetMw } from "./sector-noise/uplink-places.ts";
export { meanLevelMw, type UplinkSender } from "./uplink/uplink-distribution.ts";
export {
  CLUTTER_UNKNOWN,
  canopyWarnings,
  methodWarnings,
  ruleWarnings,
  TERRAIN_MAY_BE_SURFACE,
  type Warning,
} from "./warnings.ts";
