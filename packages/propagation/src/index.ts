export { gasSpecificAttenuationDbPerKm, oxygenAttenuationDbPerKm, waterAttenuationDbPerKm } from "./atmosphere/gas.ts";
export { rainAttenuationDbPerKm, rainCoefficients, rainCoefficientsOnPath, rainFadeDb } from "./atmosphere/rain.ts";
export {
  BUILDING_AREAS,
  type BuildingSightInput,
  type BuildingStatistics,
  computeSightProbability,
} from "./clutter/building-sight.ts";
export { findPositiveShare, measureCanopyLengthM } from "./clutter/canopy-length.ts";
export type { AntennaLine, CoveredProfile } from "./clutter/covered-profile.ts";
export {
  CLUTTER_ROWS,
  END_CLUTTER_MAX_GHZ,
  type EndClutterClass,
  endClutterLossDb,
  heightGainLossDb,
  overTopLossDb,
} from "./clutter/end-clutter.ts";
export type { Foliage } from "./clutter/foliage.ts";
export { computeWoodedPathLossDb, joinLossesDb, type WoodedPathLosses } from "./clutter/joined-losses.ts";
export {
  findPathObstacles,
  type ObstacleKind,
  type PathObstacle,
  type PathObstacles,
} from "./clutter/path-obstacles.ts";
export { type ClutterLaw, isStatedAt, STATED_RANGES } from "./clutter/stated-ranges.ts";
export { statisticalClutterLossDb } from "./clutter/statistical-clutter.ts";
export { computeVegetationLossDb, type VegetationInput, type VegetationLaw } from "./clutter/vegetation.ts";
export { addBullingtonTailDb, bullingtonLoss, computeBullingtonTailDb } from "./diffraction/bullington.ts";
export { type DiffractionInput, type DiffractionResult, deltaBullington } from "./diffraction/delta-bullington.ts";
export { knifeEdgeLossDb, knifeEdgeLossExactDb } from "./diffraction/knife-edge.ts";
export { fitGroundLine, type LineEnds, lowerForObstruction, smoothEarthHeights } from "./diffraction/smooth-earth.ts";
export { computeFreeHeightM, mayCostSmoothEarth } from "./diffraction/smooth-earth-bound.ts";
export {
  computeSmoothBullingtonDb,
  createStepFrame,
  FREE_EDGE_NU2,
  type SmoothHeights,
  type StepFrame,
} from "./diffraction/smooth-path.ts";
export { firstTermLossDb, type Polarisation, sphericalEarthLossDb } from "./diffraction/spherical-earth.ts";
export { type FadeInput, fadeMarginDb } from "./fading/fade-margin.ts";
export type { MultipathRule } from "./fading/multipath.ts";
export { type P1812Input, type P1812Result, p1812BasicLossDb } from "./p1812/basic-loss.ts";
export { combineLosses } from "./p1812/combination.ts";
export { ductingLossDb } from "./p1812/ducting.ts";
export { lineOfSightLossDb } from "./p1812/line-of-sight.ts";
export { PATH_CLUTTER_HEIGHT_M, type PathClutterRule, surfaceWithClutter } from "./p1812/path-clutter.ts";
export { type PathParameters, pathParameters } from "./p1812/path-parameters.ts";
export { pathCentreLatitudeDeg, type RadioClimate, radioClimate } from "./p1812/radio-climate.ts";
export { type RadioZone, type ZoneLengths, zoneLengths } from "./p1812/radio-zones.ts";
export { timeInterpolationFactor } from "./p1812/time-interpolation.ts";
export { earthBulgeM, effectiveEarthRadiusKm } from "./path/effective-earth.ts";
export { freeSpaceLossDb } from "./path/free-space.ts";
export { averageTerrainLossDb, diffractionParameter, fresnelRadiusM } from "./path/fresnel-zone.ts";
export {
  type BlockingPoint,
  CLEAR_FRESNEL_SHARE,
  type PathClass,
  type PathGeometry,
  pathGeometry,
} from "./path/path-geometry.ts";
export { computePathLoss, type PathLoss, type PathLossInput } from "./path/path-loss.ts";
export { type PathProfile, profileHasGap } from "./path/path-profile.ts";
export { locationVariabilityDb } from "./statistics/location-variability.ts";
export { findLossSpreadDb, type LossSpreadInput } from "./statistics/loss-spread.ts";
export { complementaryNormal, inverseComplementaryNormal } from "./statistics/normal.ts";
export {
  computeBullingtonLossDb,
  computeEdgeNu,
  computeSightLoss,
  createFreeSight,
  findPathEdges,
  findPathSight,
  type PathSight,
  type SightLoss,
  type WalkedPoints,
} from "./walk/path-sight.ts";
export { createEvenWeights, createWeights, type PathWeights } from "./walk/path-weights.ts";
export { createWalkedPath, type EndHeights, toPathProfile, type WalkedPath } from "./walk/walked-path.ts";
