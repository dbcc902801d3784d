import { buildAntennaLine, buildCoveredProfile, type CoveredSetup, type MastPath } from "@fellmark/coverage";
import { type EndHeights, findPathObstacles, type ObstacleKind } from "@fellmark/propagation";

/** The worst obstacle of one kind that enters the line of sight or 60 % of the first Fresnel zone. */
export interface InTheWay {
  kind: ObstacleKind;
  /** Distance from the mast, m. */
  distanceM: number;
  /** Height of its top over the line of sight, m; below 0 under the line. */
  overLineM: number;
  /** Height of its top over the lower edge of 60 % of the first Fresnel zone, m. */
  overZoneM: number;
}

/** Obstacles of a path, the worst kind first; terrain alone where nothing is measured on it. */
export function findInTheWay(path: MastPath, setup: Omit<CoveredSetup, "model">): InTheWay[] {
  const none = new Float64Array(path.bareAmslM.length);
  const cover = path.cover ?? { canopyHeightM: none, buildingHeightM: none };
  const found = findPathObstacles(buildCoveredProfile(path, cover), buildAntennaLine(path, setup));
  return (["ground", "building", "trees"] as const)
    .flatMap((kind) => {
      const obstacle = found[kind];
      if (obstacle === null) return [];
      const { distanceM, overLineM, overZoneM, fresnelClearance } = obstacle;
      return [{ kind, distanceM, overLineM, overZoneM, fresnelClearance }];
    })
    .sort((one, other) => one.fresnelClearance - other.fresnelClearance)
    .map(({ fresnelClearance: _clearance, ...obstacle }) => obstacle);
}

/** True where the line between two heights passes below the height of a land-cover class, which no loss counts. */
export function passesBelowClass(path: MastPath, heights: EndHeights, effectiveEarthRadiusM: number): boolean {
  const { classHeightM, bareAmslM, weights, stepM, distanceM } = path;
  if (classHeightM === null) return false;
  const last = bareAmslM.length - 1;
  const fromM = bareAmslM[0] + heights.txHeightAglM;
  const slope = (bareAmslM[last] + heights.rxHeightAglM - fromM) / distanceM;
  for (let i = 1; i < last; i++) {
    const alongM = weights.at[i] * stepM;
    const bulgeM = (alongM * (distanceM - alongM)) / (2 * effectiveEarthRadiusM);
    if (classHeightM[i] > 0 && bareAmslM[i] + classHeightM[i] + bulgeM > fromM + slope * alongM) return true;
  }
  return false;
}
