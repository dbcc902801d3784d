import type { BlockingPoint, PathProfile } from "@fellmark/propagation";
import { type MastPath, profileOf } from "./mast-path.ts";
import type { EndHeights } from "./path-sight.ts";

/** What stands in or near the line between two antennas. */
export interface Obstacles {
  /** The highest point of every separate obstacle over the line, the highest first, at most five. */
  blocking: BlockingPoint[];
  /** Distances from the mast of the points that mast and kit see highest. */
  mastHorizonM: number;
  kitHorizonM: number;
}

const MOST_BLOCKING = 5;

/** A dip between two peaks down to this share of the lower one's excess makes them two obstacles. */
const DIP_SHARE = 0.5;

export function obstaclesOf(path: MastPath, heights: EndHeights, effectiveEarthRadiusM: number): Obstacles {
  const { distanceM, surfaceAmslM, bareAmslM } = profileOf(path);
  const overM = heightsOverLine({ distanceM, surfaceAmslM, bareAmslM }, heights, effectiveEarthRadiusM);
  const last = distanceM.length - 1;
  const horizons = { mast: 1, kit: 1 };
  for (let i = 2; i < last; i++) {
    if (overM[i] / distanceM[i] > overM[horizons.mast] / distanceM[horizons.mast]) horizons.mast = i;
    const kitM = path.distanceM - distanceM[horizons.kit];
    if (overM[i] / (path.distanceM - distanceM[i]) > overM[horizons.kit] / kitM) horizons.kit = i;
  }
  const blocking = peaksOf(overM)
    .sort((a, b) => overM[b] - overM[a])
    .slice(0, MOST_BLOCKING)
    .map((i) => ({ distanceM: distanceM[i], heightAmslM: surfaceAmslM[i], excessM: overM[i] }));
  return { blocking, mastHorizonM: distanceM[horizons.mast], kitHorizonM: distanceM[horizons.kit] };
}

/** Height of every point over the sight line, curvature counted, m; the ends are never over it. */
function heightsOverLine(profile: PathProfile, heights: EndHeights, effectiveEarthRadiusM: number): Float64Array {
  const { distanceM, surfaceAmslM, bareAmslM } = profile;
  const last = distanceM.length - 1;
  const pathM = distanceM[last];
  const mastAmslM = bareAmslM[0] + heights.mastM;
  const slope = (bareAmslM[last] + heights.kitM - mastAmslM) / pathM;
  return surfaceAmslM.map((heightM, i) => {
    if (i === 0 || i === last) return Number.NEGATIVE_INFINITY;
    const d1 = distanceM[i];
    return heightM + (d1 * (pathM - d1)) / (2 * effectiveEarthRadiusM) - mastAmslM - slope * d1;
  });
}

/** Indices of the peaks at or over 0 between which the heights dip well below the lower of the two. */
function peaksOf(overM: Float64Array): number[] {
  const peaks: number[] = [];
  let peak = -1;
  let dipM = Number.POSITIVE_INFINITY;
  for (let i = 1; i < overM.length - 1; i++) {
    const heightM = overM[i];
    dipM = Math.min(dipM, heightM);
    if (heightM < 0) continue;
    const isApart = peak < 0 || dipM < DIP_SHARE * Math.min(overM[peak], heightM);
    if (isApart || heightM > overM[peak]) {
      if (isApart) peaks.push(i);
      else peaks[peaks.length - 1] = i;
      peak = i;
      dipM = heightM;
    }
  }
  return peaks;
}
