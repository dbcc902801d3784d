import { CLEAR_FRESNEL_SHARE, freeSpaceLossDb, knifeEdgeLossDb, type PathClass } from "@fellmark/propagation";
import { withTailDb } from "@fellmark/sweep";
import { DEG_PER_RAD, wavelengthM } from "@fellmark/units";
import type { EndHeights, MastPath } from "./mast-path.ts";
import { type SmoothEnds, smoothEarthExcessDb, smoothEnds } from "./smooth-earth.ts";

/** How a path is seen between two antenna heights, whatever the frequency: what one walk over its points tells. */
export interface PathSight {
  path: MastPath;
  slantM: number;
  /** Greatest nu of an interior point, and nu of the edge that stands for the path, both times sqrt(wavelength). */
  greatestNu: number;
  edgeNu: number;
  /** Elevation at which the ray leaves and arrives: the higher of the straight line and that end's horizon. */
  departureElevationDeg: number;
  arrivalElevationDeg: number;
  smooth: SmoothEnds;
}

/** What a path costs at a frequency, and how free it is. */
export interface SightLoss {
  freeSpaceDb: number;
  diffractionDb: number;
  class: PathClass;
  /** Least clearance over the first Fresnel radius. */
  fresnelClearance: number;
}

/** What the highest points of a path come to, per step of it; see sightOf. */
export interface PathEdges {
  /** How much steeper the horizons of mast and CPE are than the sight line; below 0 where nothing reaches it. */
  mastSteeper: number;
  cpeSteeper: number;
  /** Greatest height of a point over the sight line by the root of its distances from both ends. */
  highest: number;
}

/** The points alone that rays must pass, from a mast to a CPE. */
export type PathPoints = Pick<MastPath, "surfaceAmslM" | "bareAmslM" | "stepM" | "weights">;

/** One walk over the points of a path without gaps: all that is left of them in every formula here. */
export function edgesOf(path: PathPoints, heights: EndHeights, effectiveEarthRadiusM: number): PathEdges {
  const { surfaceAmslM, bareAmslM, stepM } = path;
  const { at, rootMast, rootCpe } = path.weights;
  const last = at.length - 1;
  const length = at[last];
  const mastAmslM = bareAmslM[0] + heights.mastM;
  const slope = (bareAmslM[last] + heights.cpeM - mastAmslM) / length;
  const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
  let mastSteeper = Number.NEGATIVE_INFINITY;
  let cpeSteeper = Number.NEGATIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const x = at[i];
    const over = surfaceAmslM[i] - mastAmslM + x * (bulge * (length - x) - slope);
    const byMast = over * rootMast[i];
    const byCpe = over * rootCpe[i];
    if (byMast * rootMast[i] > mastSteeper) mastSteeper = byMast * rootMast[i];
    if (byCpe * rootCpe[i] > cpeSteeper) cpeSteeper = byCpe * rootCpe[i];
    if (byMast * rootCpe[i] > highest) highest = byMast * rootCpe[i];
  }
  return { mastSteeper, cpeSteeper, highest };
}

/**
 * Nu of the edge that stands for a path, times sqrt(wavelength). With over = height of a point over the sight line, the
 * Earth's bulge included, a = max over / d1 and b = max over / d2: the edge of the Bullington construction stands at
 * d b / (a + b), and its nu^2 is 2 d a b / lambda; where nothing reaches the line it is the greatest nu of a point.
 * Source: ITU-R P.1812-6, section 4.3.1, eqs (13) to (19), solved for nu.
 */
export function edgeNuOf({ weights, stepM }: PathPoints, { mastSteeper, cpeSteeper, highest }: PathEdges): number {
  const perStep = (2 * weights.at[weights.at.length - 1]) / stepM;
  return mastSteeper >= 0 ? Math.sqrt(perStep * mastSteeper * cpeSteeper) : highest * Math.sqrt(perStep);
}

/**
 * How a path without gaps is seen. Accuracy: deltaBullington and pathGeometry of the same profile to 1e-9 (a test).
 */
export function sightOf(path: MastPath, heights: EndHeights, effectiveEarthRadiusM: number): PathSight {
  const { bareAmslM, stepM, distanceM, weights } = path;
  const edges = edgesOf(path, heights, effectiveEarthRadiusM);
  const riseM = bareAmslM[bareAmslM.length - 1] + heights.cpeM - bareAmslM[0] - heights.mastM;
  const sinks = distanceM / (2 * effectiveEarthRadiusM);
  const elevationDeg = (slope: number) => Math.atan(slope - sinks) * DEG_PER_RAD;
  return {
    path,
    slantM: Math.max(1, Math.hypot(distanceM, riseM)),
    greatestNu: edges.highest * Math.sqrt((2 * weights.at[weights.at.length - 1]) / stepM),
    edgeNu: edgeNuOf(path, edges),
    departureElevationDeg: elevationDeg(riseM / distanceM + Math.max(edges.mastSteeper, 0) / stepM),
    arrivalElevationDeg: elevationDeg(Math.max(edges.cpeSteeper, 0) / stepM - riseM / distanceM),
    smooth: smoothEnds(path, heights, effectiveEarthRadiusM, edges.mastSteeper >= 0),
  };
}

/** The sight of a path of which only length and direction are known: free and level. */
export function freeSight(path: MastPath): PathSight {
  return {
    path,
    slantM: path.distanceM,
    greatestNu: Number.NEGATIVE_INFINITY,
    edgeNu: Number.NEGATIVE_INFINITY,
    departureElevationDeg: 0,
    arrivalElevationDeg: 0,
    smooth: { mastM: Number.POSITIVE_INFINITY, cpeM: Number.POSITIVE_INFINITY },
  };
}

/** Loss of a path as it is seen: P.525-4 over the slant length, complete delta-Bullington of P.1812-6 section 4.3. */
export function lossOf(sight: PathSight, frequencyGhz: number, effectiveEarthRadiusM: number): SightLoss {
  const smoothDb = smoothEarthExcessDb(sight.path, sight.smooth, frequencyGhz, effectiveEarthRadiusM);
  const fresnelClearance = -sight.greatestNu / Math.sqrt(2 * wavelengthM(frequencyGhz));
  return {
    freeSpaceDb: freeSpaceLossDb(sight.slantM, frequencyGhz),
    diffractionDb: bullingtonDb(sight.edgeNu, sight.path.distanceM, frequencyGhz) + smoothDb,
    class: fresnelClearance <= 0 ? "blocked" : fresnelClearance < CLEAR_FRESNEL_SHARE ? "grazing" : "clear",
    fresnelClearance,
  };
}

/**
 * The Bullington part of the diffraction loss, dB. Both horizons and the greatest nu only rise with every further point
 * of a path and every metre of ground: fewer points, or lower ones, lose no more.
 * @param edgeNu times sqrt(wavelength).
 */
export function bullingtonDb(edgeNu: number, pathM: number, frequencyGhz: number): number {
  const tailDb = 10 + 0.02e-3 * pathM;
  return withTailDb(knifeEdgeLossDb(edgeNu / Math.sqrt(wavelengthM(frequencyGhz))), tailDb);
}
