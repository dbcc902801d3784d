export {
  computeGasAttenuationDbPerKm,
  computeOxygenAttenuationDbPerKm,
  computeWaterAttenuationDbPerKm,
} from "./atmosphere/gas.ts";
export {
  computeRainAttenuationDbPerKm,
  computeRainCoefficients,
  computeRainCoefficientsOnPath,
  computeRainFadeDb,
} from "./atmosphere/rain.ts";
export { findPositiveShare, measureCanopyLengthM } from "./clutter/canopy-length.ts";
export type { AntennaLine, CoveredProfile } from "./clutter/covered-profile.ts";
export {
  CLUTTER_ROWS,
  computeEndClutterLossDb,
  computeHeightGainLossDb,
  computeOverTopLossDb,
  END_CLUTTER_MAX_GHZ,
  type EndClutterClass,
} from "./clutter/end-clutter.ts";
export { computeWoodedPathLossDb, joinLossesDb } from "./clutter/joined-losses.ts";
export { findPathObstacles, type ObstacleKind } from "./clutter/path-obstacles.ts";
export { type ClutterLaw, isLawStated, STATED_RANGES } from "./clutter/stated-ranges.ts";
export { computeStatisticalClutterLossDb } from "./clutter/statistical-clutter.ts";
export { computeVegetationLossDb, type VegetationInput } from "./clutter/vegetation.ts";
export { addBullingtonTailDb, computeBullingtonTailDb } from "./diffraction/bullington.ts";
export {
  computeDeltaBullington,
  type DiffractionInput,
  type DiffractionResult,
} from "./diffraction/delta-bullington.ts";
export { computeExactKnifeEdgeLossDb, computeKnifeEdgeLossDb } from "./diffraction/knife-edge.ts";
export { computeSmoothEarthHeights, type LineEnds, lowerForObstruction } from "./diffraction/smooth-earth.ts";
export { computeFreeHeightM, mayCostSmoothEarth } from "./diffraction/smooth-earth-bound.ts";
export {
  computeSmoothBullingtonDb,
  createStepFrame,
  FREE_EDGE_NU2,
  type SmoothHeights,
  type StepFrame,
} from "./diffraction/smooth-path.ts";
export {
  computeFirstTermLossDb,
  computeSphericalEarthLossDb,
  type Polarisation,
} from "./diffraction/spherical-earth.ts";
export { computeFadeMarginDb } from "./fading/fade-margin.ts";
export { computeHeightReliefDb } from "./fading/multipath.ts";
export { computeP1812Loss, type P1812Input, type P1812Result } from "./p1812/basic-loss.ts";
export { combineLosses } from "./p1812/combination.ts";
export { computeDuctingLossDb } from "./p1812/ducting.ts";
export { computeLineOfSightLossDb } from "./p1812/line-of-sight.ts";
export { computeP1812MedianLossDb, P1812_LEAST_M } from "./p1812/median-loss.ts";
export { PATH_CLUTTER_HEIGHT_M, type PathClutterRule, raiseByPathClutter } from "./p1812/path-clutter.ts";
export { findPathParameters, type PathParameters } from "./p1812/path-parameters.ts";
export { computePathCentreLatitudeDeg, computeRadioClimate, type RadioClimate } from "./p1812/radio-climate.ts";
export { measureZones, type RadioZone, type ZoneLengths } from "./p1812/radio-zones.ts";
export { computeTimeInterpolationFactor } from "./p1812/time-interpolation.ts";
export { computeEarthBulgeM, computeEffectiveEarthRadiusKm } from "./path/effective-earth.ts";
export { computeFreeSpaceLossDb } from "./path/free-space.ts";
export {
  computeAverageTerrainLossDb,
  computeDiffractionParameter,
  computeFresnelRadiusM,
} from "./path/fresnel-zone.ts";
export { type BlockingPoint, CLEAR_FRESNEL_SHARE, findPathGeometry, type PathClass } from "./path/path-geometry.ts";
export { computePathLoss } from "./path/path-loss.ts";
export { hasProfileGap, type PathProfile } from "./path/path-profile.ts";
export { computeLocationVariabilityDb } from "./statistics/location-variability.ts";
export { computeComplementaryNormal, computeInverseComplementaryNormal } from "./statistics/normal.ts";
export {
  computeBullingtonLossDb,
  computeEdgeNu,
  computeSightLoss,
  createFreeSight,
  findPathEdges,
  findPathSight,
  type PathSight,
  type SightLoss,
} from "./walk/path-sight.ts";
export { createEvenWeights, createWeights } from "./walk/path-weights.ts";
export { createWalkedPath, type EndHeights, toPathProfile, type WalkedPath } from "./walk/walked-path.ts";
