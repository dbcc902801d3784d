import { computeWavelengthM, DEG_PER_RAD } from "@fellmark/units";
import { addBullingtonTailDb, computeBullingtonTailDb } from "../diffraction/bullington.ts";
import { computeKnifeEdgeLossDb } from "../diffraction/knife-edge.ts";
import type { SmoothHeights } from "../diffraction/smooth-path.ts";
import { computeFreeSpaceLossDb } from "../path/free-space.ts";
import { findPathClass, type PathClass } from "../path/path-geometry.ts";
import { computeSmoothExcessDb, findSmoothHeights } from "./smooth-ends.ts";
import type { EndHeights, WalkedPath } from "./walked-path.ts";

/** Points of a path alone, without its fitted line. */
export type WalkedPoints = Pick<WalkedPath, "surfaceAmslM" | "bareAmslM" | "stepM" | "weights">;

/** Extremes of the points of a path against the line between two antennas; slopes and heights per step. */
export interface PathEdges {
  /** Slope by which the horizon of either antenna is steeper than the line; below 0 where nothing reaches the line. */
  txSteeper: number;
  rxSteeper: number;
  /** Greatest height of a point over the line by the root of its distances from both ends. */
  highest: number;
}

/** Sight of a path between two antenna heights at any frequency: the result of one walk over its points. */
export interface PathSight<Path extends WalkedPath = WalkedPath> {
  path: Path;
  slantM: number;
  /** Greatest nu of an interior point, and nu of the edge that stands for the path, both times sqrt(wavelength). */
  greatestNu: number;
  edgeNu: number;
  /** Elevation at which the ray leaves and arrives: the higher of the straight line and that end's horizon. */
  departureElevationDeg: number;
  arrivalElevationDeg: number;
  smooth: SmoothHeights;
}

/** Loss of a sight at one frequency, and how free it is. */
export interface SightLoss {
  freeSpaceDb: number;
  diffractionDb: number;
  class: PathClass;
  /** Least clearance over the first Fresnel radius. */
  fresnelClearance: number;
}

/** One walk over the points of a path without gaps: all that is left of them in every formula here. */
export function findPathEdges(path: WalkedPoints, heights: EndHeights, effectiveEarthRadiusM: number): PathEdges {
  const { surfaceAmslM, bareAmslM, stepM } = path;
  const { at, rootTx, rootRx } = path.weights;
  const last = at.length - 1;
  const length = at[last];
  const txAmslM = bareAmslM[0] + heights.txHeightAglM;
  const slope = (bareAmslM[last] + heights.rxHeightAglM - txAmslM) / length;
  const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
  let txSteeper = Number.NEGATIVE_INFINITY;
  let rxSteeper = Number.NEGATIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const x = at[i];
    const over = surfaceAmslM[i] - txAmslM + x * (bulge * (length - x) - slope);
    const byTx = over * rootTx[i];
    const byRx = over * rootRx[i];
    if (byTx * rootTx[i] > txSteeper) txSteeper = byTx * rootTx[i];
    if (byRx * rootRx[i] > rxSteeper) rxSteeper = byRx * rootRx[i];
    if (byTx * rootRx[i] > highest) highest = byTx * rootRx[i];
  }
  return { txSteeper, rxSteeper, highest };
}

/**
 * Nu of the edge that stands for a path, times sqrt(wavelength). With over = height of a point over the sight line, the
 * Earth's bulge included, a = max over / d1 and b = max over / d2: the edge of the Bullington construction stands at
 * d b / (a + b), and its nu^2 is 2 d a b / lambda; where nothing reaches the line it is the greatest nu of a point.
 * Source: ITU-R P.1812-6, section 4.3.1, eqs (13) to (19), solved for nu.
 */
export function computeEdgeNu({ weights, stepM }: WalkedPoints, { txSteeper, rxSteeper, highest }: PathEdges): number {
  const perStep = (2 * weights.at[weights.at.length - 1]) / stepM;
  return txSteeper >= 0 ? Math.sqrt(perStep * txSteeper * rxSteeper) : highest * Math.sqrt(perStep);
}

/**
 * Sight of a path between two antenna heights. Accuracy: `computeDeltaBullington` and `findPathGeometry` of the same profile to
 * 1e-9 (a test).
 */
export function findPathSight<Path extends WalkedPath>(
  path: Path,
  heights: EndHeights,
  effectiveEarthRadiusM: number,
): PathSight<Path> {
  const { bareAmslM, stepM, distanceM, weights } = path;
  const edges = findPathEdges(path, heights, effectiveEarthRadiusM);
  const riseM = bareAmslM[bareAmslM.length - 1] + heights.rxHeightAglM - bareAmslM[0] - heights.txHeightAglM;
  const sinks = distanceM / (2 * effectiveEarthRadiusM);
  const elevationDeg = (slope: number) => Math.atan(slope - sinks) * DEG_PER_RAD;
  return {
    path,
    slantM: Math.max(1, Math.hypot(distanceM, riseM)),
    greatestNu: edges.highest * Math.sqrt((2 * weights.at[weights.at.length - 1]) / stepM),
    edgeNu: computeEdgeNu(path, edges),
    departureElevationDeg: elevationDeg(riseM / distanceM + Math.max(edges.txSteeper, 0) / stepM),
    arrivalElevationDeg: elevationDeg(Math.max(edges.rxSteeper, 0) / stepM - riseM / distanceM),
    smooth: findSmoothHeights(path, heights, effectiveEarthRadiusM, edges.txSteeper >= 0),
  };
}

/** Sight of a path of which only length and direction are known: free and level. */
export function createFreeSight<Path extends WalkedPath>(path: Path): PathSight<Path> {
  return {
    path,
    slantM: path.distanceM,
    greatestNu: Number.NEGATIVE_INFINITY,
    edgeNu: Number.NEGATIVE_INFINITY,
    departureElevationDeg: 0,
    arrivalElevationDeg: 0,
    smooth: { txHeightM: Number.POSITIVE_INFINITY, rxHeightM: Number.POSITIVE_INFINITY },
  };
}

/** Loss of a sight: P.525-4 over the slant length, complete delta-Bullington of P.1812-6, section 4.3. */
export function computeSightLoss(sight: PathSight, frequencyGhz: number, effectiveEarthRadiusM: number): SightLoss {
  const { path, smooth, slantM, edgeNu, greatestNu } = sight;
  const smoothDb = computeSmoothExcessDb(path, smooth, frequencyGhz, effectiveEarthRadiusM);
  const fresnelClearance = -greatestNu / Math.sqrt(2 * computeWavelengthM(frequencyGhz));
  return {
    freeSpaceDb: computeFreeSpaceLossDb(slantM, frequencyGhz),
    diffractionDb: computeBullingtonLossDb(edgeNu, path.distanceM, frequencyGhz) + smoothDb,
    class: findPathClass(fresnelClearance),
    fresnelClearance,
  };
}

/**
 * The Bullington part of the diffraction loss, dB. Both horizons and the greatest nu only rise with every further point
 * of a path and every metre of ground: fewer points, or lower ones, lose no more.
 * @param edgeNu times sqrt(wavelength).
 */
export function computeBullingtonLossDb(edgeNu: number, pathM: number, frequencyGhz: number): number {
  const edgeDb = computeKnifeEdgeLossDb(edgeNu / Math.sqrt(computeWavelengthM(frequencyGhz)));
  return addBullingtonTailDb(edgeDb, computeBullingtonTailDb(pathM));
}
