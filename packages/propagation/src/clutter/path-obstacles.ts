import { CLEAR_FRESNEL_SHARE } from "../path/path-geometry.ts";
import { type AntennaLine, type CoveredProfile, type LinePoint, locateOnLine } from "./covered-profile.ts";

export type ObstacleKind = "ground" | "trees" | "building";

/** The point of one kind that enters the zone farthest. */
export interface PathObstacle {
  /** Distance from the transmitter, m. */
  distanceM: number;
  /** Top of the obstacle, m above sea level. */
  topAmslM: number;
  /** Height of the top over the line between the antennas, Earth's bulge counted, m; below 0 under the line. */
  overLineM: number;
  /** Height of the top over the lower edge of 60 % of the first Fresnel zone, m: above 0. */
  overZoneM: number;
  /** Clearance of the line over the first Fresnel radius: below 0.6, and 0 or less where the line is blocked. */
  fresnelClearance: number;
}

/** The greatest intrusion of each kind; null where the kind leaves 60 % of the first Fresnel zone free. */
export type PathObstacles = Record<ObstacleKind, PathObstacle | null>;

/**
 * Finds what enters the line between two antennas or 60 % of its first Fresnel zone, by kind: where and by how much.
 * The greatest intrusion is that of least clearance over Fresnel radius, which costs most by diffraction; a known end
 * point is never an obstacle. Heights that are not known (NaN) are passed over: ask for them apart.
 * Source: zone as ITU-R P.526-15, section 2, eq (2); 60 % as common practice, where a knife edge costs 0 dB.
 * Example: 10 km, antennas at 30 and 10 m, 5.8 GHz, 4/3 Earth, ground 0 m, trees of 25 m at 4 km: 4.41 m over the line
 * and 11.10 m over the zone's edge.
 */
export function findPathObstacles(profile: CoveredProfile, line: AntennaLine): PathObstacles {
  const { distanceM, groundAmslM, canopyHeightM, buildingHeightM } = profile;
  const worst: PathObstacles = { ground: null, trees: null, building: null };
  for (let i = 1; i < distanceM.length - 1; i++) {
    const point = locateOnLine(distanceM, i, line);
    noteObstacle(worst, "ground", groundAmslM[i], point);
    if (canopyHeightM[i] > 0) noteObstacle(worst, "trees", groundAmslM[i] + canopyHeightM[i], point);
    if (buildingHeightM[i] > 0) noteObstacle(worst, "building", groundAmslM[i] + buildingHeightM[i], point);
  }
  return worst;
}

/** Keeps a top if it enters the zone farther than the one of its kind so far. */
function noteObstacle(worst: PathObstacles, kind: ObstacleKind, topAmslM: number, point: LinePoint): void {
  const overLineM = topAmslM - point.lineAmslM;
  const overZoneM = overLineM + CLEAR_FRESNEL_SHARE * point.fresnelRadiusM;
  if (!(overZoneM > 0)) return;
  const fresnelClearance = -overLineM / point.fresnelRadiusM;
  const soFar = worst[kind];
  if (soFar && soFar.fresnelClearance <= fresnelClearance) return;
  worst[kind] = { distanceM: point.fromTxM, topAmslM, overLineM, overZoneM, fresnelClearance };
}
