import { CLEAR_FRESNEL_SHARE, freeSpaceLossDb, knifeEdgeLossDb, type PathClass } from "@fellmark/propagation";
import { DEG_PER_RAD, wavelengthM } from "@fellmark/units";
import { withTailDb } from "../sweep/loss-table.ts";
import type { MastPath } from "./mast-path.ts";
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

/** Antenna heights at both ends of a path, m above ground. */
export interface EndHeights {
  mastM: number;
  kitM: number;
}

/**
 * One walk over a path without gaps. With over = height of a point over the sight line, the Earth's bulge included,
 * a = max over / d1 and b = max over / d2 tell how much steeper both horizons are than that line: the edge of the
 * Bullington construction stands at d b / (a + b), and its nu^2 is 2 d a b / lambda.
 * Source: ITU-R P.1812-6, section 4.3.1, eqs (13) to (19), solved for nu.
 * Accuracy: deltaBullington and pathGeometry of the same profile to 1e-9 (a test).
 */
export function sightOf(path: MastPath, heights: EndHeights, effectiveEarthRadiusM: number): PathSight {
  const { surfaceAmslM, bareAmslM, stepM } = path;
  const { at, rootMast, rootKit } = path.weights;
  const last = at.length - 1;
  const length = at[last];
  const mastAmslM = bareAmslM[0] + heights.mastM;
  const riseM = bareAmslM[last] + heights.kitM - mastAmslM;
  const slope = riseM / length;
  const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
  let steeperMast = Number.NEGATIVE_INFINITY;
  let steeperKit = Number.NEGATIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 1; i < last; i++) {
    const x = at[i];
    const over = surfaceAmslM[i] - mastAmslM + x * (bulge * (length - x) - slope);
    const byMast = over * rootMast[i];
    const byKit = over * rootKit[i];
    if (byMast * rootMast[i] > steeperMast) steeperMast = byMast * rootMast[i];
    if (byKit * rootKit[i] > steeperKit) steeperKit = byKit * rootKit[i];
    if (byMast * rootKit[i] > highest) highest = byMast * rootKit[i];
  }
  const isOver = steeperMast >= 0;
  const nuScale = (2 * length) / stepM;
  const greatestNu = highest * Math.sqrt(nuScale);
  const elevationDeg = (slopePerStep: number) =>
    Math.atan(slopePerStep / stepM - (bulge * length) / stepM) * DEG_PER_RAD;
  return {
    path,
    slantM: Math.max(1, Math.hypot(length * stepM, riseM)),
    greatestNu,
    edgeNu: isOver ? Math.sqrt(nuScale * steeperMast * steeperKit) : greatestNu,
    departureElevationDeg: elevationDeg(slope + Math.max(steeperMast, 0)),
    arrivalElevationDeg: elevationDeg(Math.max(steeperKit, 0) - slope),
    smooth: smoothEnds(path, heights, effectiveEarthRadiusM, isOver),
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
    smooth: { mastM: Number.POSITIVE_INFINITY, kitM: Number.POSITIVE_INFINITY },
  };
}

/** Loss of a path as it is seen: P.525-4 over the slant length, complete delta-Bullington of P.1812-6 section 4.3. */
export function lossOf(sight: PathSight, frequencyGhz: number, effectiveEarthRadiusM: number): SightLoss {
  const smoothDb = smoothEarthExcessDb(sight.path, sight.smooth, frequencyGhz, effectiveEarthRadiusM);
  const fresnelClearance = -sight.greatestNu / Math.sqrt(2 * wavelengthM(frequencyGhz));
  return {
    freeSpaceDb: freeSpaceLossDb(sight.slantM, frequencyGhz),
    diffractionDb: bullingtonDb(sight, frequencyGhz) + smoothDb,
    class: fresnelClearance <= 0 ? "blocked" : fresnelClearance < CLEAR_FRESNEL_SHARE ? "grazing" : "clear",
    fresnelClearance,
  };
}

/**
 * The Bullington part of the diffraction loss, dB. Both horizons and the greatest nu only rise with every further point
 * of a path: a path of fewer of its points has no greater loss.
 */
export function bullingtonDb({ edgeNu, path }: PathSight, frequencyGhz: number): number {
  const tailDb = 10 + 0.02e-3 * path.distanceM;
  return withTailDb(knifeEdgeLossDb(edgeNu / Math.sqrt(wavelengthM(frequencyGhz))), tailDb);
}
