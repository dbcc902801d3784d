import type { ModelSpec } from "@fellmark/network";
import {
  type AntennaLine,
  type CoveredProfile,
  computeP1812MedianLossDb,
  computeSightLoss,
  computeVegetationLossDb,
  computeWoodedPathLossDb,
  type EndHeights,
  findPathSight,
  measureCanopyLengthM,
  type PathSight,
  type SightLoss,
  toPathProfile,
} from "@fellmark/propagation";
import { computeWavelengthM } from "@fellmark/units";
import type { MastPath, PathCover } from "./mast-path.ts";

/** Loss of a path with what stands on it; its class and clearance are those of the tops of everything. */
export interface CoveredLoss extends SightLoss {
  /** Diffraction by the ground alone. */
  diffractionDb: number;
  /** Loss by trees and buildings on the way beyond that, dB. */
  clutterPathDb: number;
  /** Length of the ray in trees, m. */
  canopyLengthM: number;
  /** Elevation at which the ray leaves and arrives that carries the greater part: over the trees or through them. */
  departureElevationDeg: number;
  arrivalElevationDeg: number;
}

/** Inputs of the loss of a covered path beside the path itself. */
export interface CoveredSetup {
  heights: EndHeights;
  frequencyGhz: number;
  effectiveEarthRadiusM: number;
  model: Pick<ModelSpec, "foliage" | "vegetationLaw" | "method">;
}

/**
 * Loss of a path: over the tops of all that is measured on it, joined with the ray that passes through its trees;
 * buildings and ground are not penetrated.
 * @param sight of the path over the tops, between the same heights.
 */
export function computeCoveredLoss(sight: PathSight<MastPath>, setup: CoveredSetup): CoveredLoss {
  const { frequencyGhz, effectiveEarthRadiusM, model } = setup;
  const over = computeSightLoss(sight, frequencyGhz, effectiveEarthRadiusM);
  const { departureElevationDeg, arrivalElevationDeg } = sight;
  const { cover } = sight.path;
  const free = { ...over, clutterPathDb: 0, canopyLengthM: 0, departureElevationDeg, arrivalElevationDeg };
  if (model.method === "p1812") return computeP1812Covered(free, sight.path, setup);
  return cover === null || over.diffractionDb === 0 ? free : joinPaths(free, sight.path, cover, setup);
}

/** Loss by the complete P.1812, which counts what stands on the way as an obstacle; its class and rays are those over the tops. */
function computeP1812Covered(over: CoveredLoss, path: MastPath, setup: CoveredSetup): CoveredLoss {
  const { heights, frequencyGhz, effectiveEarthRadiusM } = setup;
  const lossOver = (points: MastPath) =>
    computeP1812MedianLossDb({ profile: toPathProfile(points), ...heights, frequencyGhz, effectiveEarthRadiusM });
  const bareDb = lossOver({ ...path, surfaceAmslM: path.bareAmslM });
  const clutterPathDb = path.cover === null ? 0 : Math.max(0, lossOver(path) - bareDb);
  return { ...over, diffractionDb: bareDb - over.freeSpaceDb, clutterPathDb };
}

function joinPaths(over: CoveredLoss, path: MastPath, cover: PathCover, setup: CoveredSetup): CoveredLoss {
  const { heights, frequencyGhz, effectiveEarthRadiusM, model } = setup;
  const treelessSight = findPathSight(cover.treeless, heights, effectiveEarthRadiusM);
  const treeless = computeSightLoss(treelessSight, frequencyGhz, effectiveEarthRadiusM);
  const bareSight = findPathSight({ ...path, surfaceAmslM: path.bareAmslM }, heights, effectiveEarthRadiusM);
  const bare = computeSightLoss(bareSight, frequencyGhz, effectiveEarthRadiusM);
  const canopyLengthM = measureCanopyLengthM(buildCoveredProfile(path, cover), buildAntennaLine(path, setup));
  const throughTreesDb = computeVegetationLossDb({
    lengthM: canopyLengthM,
    frequencyGhz,
    foliage: model.foliage,
    law: model.vegetationLaw,
  });
  const losses = { overTreesDb: over.diffractionDb, withoutTreesDb: treeless.diffractionDb, throughTreesDb };
  const isThrough = treeless.diffractionDb + throughTreesDb < over.diffractionDb;
  return {
    ...over,
    diffractionDb: bare.diffractionDb,
    clutterPathDb: Math.max(0, computeWoodedPathLossDb(losses) - bare.diffractionDb),
    canopyLengthM,
    ...(isThrough && pickRays(treelessSight)),
  };
}

function pickRays({ departureElevationDeg, arrivalElevationDeg }: PathSight) {
  return { departureElevationDeg, arrivalElevationDeg };
}

/** The path with its clutter by kind, as the laws of propagation take it. */
export function buildCoveredProfile(
  path: MastPath,
  { canopyHeightM, buildingHeightM }: Omit<PathCover, "treeless">,
): CoveredProfile {
  const { distanceM, bareAmslM } = toPathProfile(path);
  return { distanceM, groundAmslM: bareAmslM, canopyHeightM, buildingHeightM };
}

/** The line between two antennas at the ends of a path. */
export function buildAntennaLine({ bareAmslM }: MastPath, setup: Omit<CoveredSetup, "model">): AntennaLine {
  const { heights, frequencyGhz, effectiveEarthRadiusM } = setup;
  return {
    txAmslM: bareAmslM[0] + heights.txHeightAglM,
    rxAmslM: bareAmslM[bareAmslM.length - 1] + heights.rxHeightAglM,
    effectiveEarthRadiusM,
    wavelengthM: computeWavelengthM(frequencyGhz),
  };
}
