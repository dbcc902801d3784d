export { type Advice, buildAdvice, type ChannelReport, type PlanReport, type SectorAdvice } from "./advice/advice.ts";
export type { AdviceProblem } from "./advice/advice-problem.ts";
export { buildAdviceProblem } from "./advice/problem-of-request.ts";
export { type CapacityPlace, computeSectorCapacity } from "./advice/sector-capacity.ts";
export { CAUTION } from "./caution.ts";
export { findMountedHeightM, standsOnRoof } from "./clutter/covered-ground.ts";
export { type Comparison, compareCoverages } from "./comparison/compare.ts";
export type { ComparisonReport } from "./comparison/comparison-report.ts";
export type { CoveredArea } from "./comparison/covered-cells.ts";
export { findCellOfPlace } from "./comparison/places.ts";
export type { SectorChange } from "./comparison/sector-changes.ts";
export type { SinrChange } from "./comparison/sinr-change.ts";
export { type Coverage, computeCoverage, findSectorNoise, prepareScene, type StripSink } from "./coverage.ts";
export {
  combineGround,
  countFineSteps,
  countSteps,
  createGround,
  createMastEnds,
  findBoxAround,
  type Ground,
  type GroundData,
  readGroundData,
  sampleClutter,
  walkPath,
} from "./ground/ground.ts";
export { readGround } from "./ground/ground-grids.ts";
export { readGroundHeight } from "./ground/ground-height.ts";
export { METRES_PER_DEG, sampleLowGround } from "./ground/low-ground.ts";
export { buildLayerJob } from "./layers/build-layer-job.ts";
export { bakeGainTable, readFieldToward } from "./layers/gain-table.ts";
export {
  CAUSES,
  type Cause,
  createStripRasters,
  type LayerJob,
  NO_DATA,
  NO_RATE,
  type StripRasters,
} from "./layers/layer-job.ts";
export { createRow } from "./layers/row.ts";
export { computeStrip, type KeptRows } from "./layers/strip.ts";
export { createLevelStore, type LevelStore } from "./level-store.ts";
export { findBestPlan } from "./link/best-plan.ts";
export { computePathCalibrationDb, findSectorBiasDb } from "./link/calibration.ts";
export { describeStatisticalLaw, listEndLaws, listMapLaws, listPathLaws, type PartLaw } from "./link/clutter-laws.ts";
export { computeDownRateMbps, findDownReserve, type Margins } from "./link/down-link.ts";
export { createDownPort, type DownPort, fillDownPort, type PortLevels } from "./link/down-port.ts";
export {
  type ClutterAround,
  computeStatisticalCpeDb,
  type EndsOf,
  endClutterDb,
  findStatedClutter,
  isClutterStated,
  isStatistical,
  toRasterClutter,
  UNKNOWN_CLUTTER,
} from "./link/end-clutter.ts";
export { computeLinkFadeDb, findCpeAmslM } from "./link/fade.ts";
export { createFollowed, followInterferer } from "./link/followed-interferers.ts";
export { sumUncertainLevels } from "./link/interference-spread.ts";
export {
  type BudgetTerm,
  computeConfidenceFactor,
  type FixedBudget,
  findErrorSigmaDb,
  hasEndClutterLoss,
  type LinkBudget,
  linkBudgets,
  listStreamRates,
} from "./link/link-budget.ts";
export { computeDiscrimination, computeHoldProbability, findLeadingPort } from "./link/link-physics.ts";
export { findChannelOverlap, type Overlap } from "./link/overlap.ts";
export { createPatterns, type Patterns } from "./link/patterns.ts";
export { createReceivedGain } from "./link/received-pattern.ts";
export { computeScatteredGain, isSplit, listTransmitters, type Transmitter } from "./link/transmitters.ts";
export { computeUpRateMbps, findUpReserve, type UpLink } from "./link/up-link.ts";
export type { Engine } from "./loss/engine.ts";
export { createLossCache } from "./loss/loss-cache.ts";
export { type LossCacheLimits, sweepLossCache } from "./loss/loss-cache-files.ts";
export { findEffectiveEarthRadiusM } from "./loss/mast.ts";
export { MODEL_VERSION } from "./model-version.ts";
export {
  buildAntennaLine,
  buildCoveredProfile,
  type CoveredLoss,
  type CoveredSetup,
  computeCoveredLoss,
} from "./path/covered-loss.ts";
export { coverPath, createEvenPath, createMastPath, type MastPath } from "./path/mast-path.ts";
export { adaptNoise, buildQuietNoise, combineNoise, type SectorNoise } from "./sector-noise/sector-noise.ts";
export { computeTargetMw, POWER_CONTROL_RANGE_DB } from "./sector-noise/uplink-places.ts";
export { meanLevelMw, type UplinkSender } from "./uplink/uplink-distribution.ts";
export {
  CLUTTER_UNKNOWN,
  TERRAIN_MAY_BE_SURFACE,
  type Warning,
  warnOfCanopy,
  warnOfMethod,
  warnOfMount,
  warnOfRule,
  warnOfTiming,
} from "./warnings.ts";
