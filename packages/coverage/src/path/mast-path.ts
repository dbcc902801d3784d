import { findGeodesic, type LonLat } from "@fellmark/geodesy";
import { createEvenWeights, createWalkedPath, createWeights, type WalkedPath } from "@fellmark/propagation";

/** Path from a mast to a place, before any antenna height is chosen; its gaps are bridged: see `notKnownShare`. */
export interface MastPath extends WalkedPath {
  /** Share of the profile without a known height; 1 where an end has none. */
  notKnownShare: number;
  /** From the mast to the place and from the place to the mast, true; null when the place has no coordinates. */
  azimuthDeg: number | null;
  backAzimuthDeg: number | null;
  /** Measured clutter on the way, which then stands on the surface; null where none is known. */
  cover: PathCover | null;
  /**
   * Heights of land-cover classes over the ground, m, which the loss does not count on the way; 0 within 50 m of either
   * end, where it does, and where heights are measured. Null without land cover.
   */
  classHeightM: Float64Array | null;
}

/** Measured clutter at the points of a path, m above the ground; what stands at the ends is no obstacle. */
export interface PathCover {
  canopyHeightM: Float64Array;
  buildingHeightM: Float64Array;
  /** The same path with the ground and its buildings alone for its surface. */
  treeless: WalkedPath;
}

/** Directions of the line at its ends, where they are known. */
type Azimuths = Pick<MastPath, "azimuthDeg" | "backAzimuthDeg">;

/**
 * The path of a profile whose points may lie unevenly; its heights serve as surface and as bare ground. Gaps are counted,
 * then bridged by straight lines between the known heights beside them, so that a path with few of them can be computed.
 */
export function createMastPath(
  distanceM: Float64Array,
  heightAmslM: Float64Array,
  ends: { from: LonLat; to: LonLat } | null,
): MastPath {
  const { azimuthDeg = null, backAzimuthDeg = null } = ends ? findGeodesic(ends.from, ends.to) : {};
  return createBridgedPath({ stepM: 1, weights: createWeights(distanceM) }, heightAmslM, {
    azimuthDeg,
    backAzimuthDeg,
  });
}

/** The same with heights at equal steps over `distanceM`, which must be above 0. */
export function createEvenPath(
  distanceM: number,
  heightAmslM: Float64Array,
  { azimuthDeg, backAzimuthDeg }: Azimuths,
): MastPath {
  const steps = heightAmslM.length - 1;
  return createBridgedPath({ stepM: distanceM / steps, weights: createEvenWeights(steps) }, heightAmslM, {
    azimuthDeg,
    backAzimuthDeg,
  });
}

/** The path with clutter on its interior points: its surface is the tops of all that stands. */
export function coverPath(path: MastPath, heights: Omit<PathCover, "treeless">): MastPath {
  const { canopyHeightM, buildingHeightM } = heights;
  const last = path.bareAmslM.length - 1;
  const raisedBy = (topM: (i: number) => number) =>
    path.bareAmslM.map((groundM, i) => (i === 0 || i === last ? groundM : groundM + topM(i)));
  const treeless = { ...path, surfaceAmslM: raisedBy((i) => buildingHeightM[i]) };
  const surfaceAmslM = raisedBy((i) => Math.max(buildingHeightM[i], canopyHeightM[i]));
  return { ...path, surfaceAmslM, cover: { ...heights, treeless } };
}

function createBridgedPath(
  points: Pick<MastPath, "stepM" | "weights">,
  heightAmslM: Float64Array,
  azimuths: Azimuths,
): MastPath {
  const notKnownShare = measureNotKnownShare(heightAmslM);
  const bridged = notKnownShare === 0 ? heightAmslM : fillGaps(heightAmslM);
  return { ...createWalkedPath(points, bridged, bridged), notKnownShare, ...azimuths, cover: null, classHeightM: null };
}

/** Without the ground under both antennas nothing can be said. */
function measureNotKnownShare(heightAmslM: Float64Array): number {
  if (Number.isNaN(heightAmslM[0]) || Number.isNaN(heightAmslM[heightAmslM.length - 1])) return 1;
  let count = 0;
  for (const height of heightAmslM) if (Number.isNaN(height)) count++;
  return count / heightAmslM.length;
}

function fillGaps(heightAmslM: Float64Array): Float64Array {
  const bridged = heightAmslM.slice();
  let known = -1;
  for (let at = 0; at < bridged.length; at++) {
    if (Number.isNaN(bridged[at])) continue;
    for (let gap = known + 1; known >= 0 && gap < at; gap++) {
      bridged[gap] = bridged[known] + ((bridged[at] - bridged[known]) * (gap - known)) / (at - known);
    }
    known = at;
  }
  return bridged;
}
