import type { BlockingPoint, EndHeights, WalkedPath } from "@fellmark/propagation";

/** Obstacles in or near the line between two antennas. */
export interface Obstacles {
  /** The highest point of every separate obstacle over the line, the highest first, at most five. */
  blocking: BlockingPoint[];
  /** Distances from the mast of the points that mast and CPE see highest. */
  mastHorizonM: number;
  cpeHorizonM: number;
}

const MOST_BLOCKING = 5;

export function findObstacles(path: WalkedPath, heights: EndHeights, effectiveEarthRadiusM: number): Obstacles {
  const { weights, stepM, surfaceAmslM } = path;
  const { at, rootTx, rootRx } = weights;
  const overM = computeHeightsOverLine(path, heights, effectiveEarthRadiusM);
  let [mast, cpe] = [1, 1];
  for (let i = 2; i < at.length - 1; i++) {
    if (overM[i] * rootTx[i] ** 2 > overM[mast] * rootTx[mast] ** 2) mast = i;
    if (overM[i] * rootRx[i] ** 2 > overM[cpe] * rootRx[cpe] ** 2) cpe = i;
  }
  const blocking = findPeaks(overM)
    .sort((a, b) => overM[b] - overM[a])
    .slice(0, MOST_BLOCKING)
    .map((i) => ({ distanceM: at[i] * stepM, heightAmslM: surfaceAmslM[i], excessM: overM[i] }));
  return { blocking, mastHorizonM: at[mast] * stepM, cpeHorizonM: at[cpe] * stepM };
}

/** Height of every point over the sight line, curvature counted, m; of the ends 0. */
function computeHeightsOverLine(path: WalkedPath, heights: EndHeights, effectiveEarthRadiusM: number): Float64Array {
  const { weights, stepM, surfaceAmslM, bareAmslM } = path;
  const { at } = weights;
  const last = at.length - 1;
  const mastAmslM = bareAmslM[0] + heights.txHeightAglM;
  const slope = (bareAmslM[last] + heights.rxHeightAglM - mastAmslM) / at[last];
  const bulge = (stepM * stepM) / (2 * effectiveEarthRadiusM);
  const overM = new Float64Array(at.length);
  for (let i = 1; i < last; i++) {
    overM[i] = surfaceAmslM[i] - mastAmslM + at[i] * (bulge * (at[last] - at[i]) - slope);
  }
  return overM;
}

/** A dip between two peaks below this share of the lower one's excess makes them two obstacles. */
const DIP_SHARE = 0.5;

/** Indices of the peaks at or over 0 between which the heights dip well below the lower of the two. */
function findPeaks(overM: Float64Array): number[] {
  const peaks: number[] = [];
  let peak = -1;
  let dipM = 0;
  for (let i = 1; i < overM.length - 1; i++) {
    const heightM = overM[i];
    if (heightM < dipM) dipM = heightM;
    if (heightM < 0) continue;
    const isApart = peak < 0 || dipM < DIP_SHARE * Math.min(overM[peak], heightM);
    if (!isApart && heightM <= overM[peak]) continue;
    if (isApart) peaks.push(i);
    else peaks[peaks.length - 1] = i;
    peak = i;
    dipM = heightM;
  }
  return peaks;
}
