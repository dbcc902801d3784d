import { findGeodesic, findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { ClutterMosaic, TerrainMosaic } from "@fellmark/terrain";

const STEP_M = 2.5;
const EFFECTIVE_EARTH_RADIUS_M = 8_494_667;

/**
 * Length of the line of sight more than 5 m inside trees or houses, m, but for the house at the place: a walk of its own
 * from the place to the mast, by steps of 2.5 m.
 * @param heights of the antennas at the mast and at the place, m above ground.
 */
export function measureInsideM(
  { ground, clutter }: { ground: TerrainMosaic; clutter: ClutterMosaic },
  from: LonLat,
  to: LonLat,
  heights: { mastM: number; cpeM: number },
): number {
  const { distanceM, azimuthDeg } = findGeodesic(from, to);
  const steps = Math.round(distanceM / STEP_M);
  const fromM = ground.findHeightAmslM(from.lon, from.lat) + heights.mastM;
  const toM = ground.findHeightAmslM(to.lon, to.lat) + heights.cpeM;
  let insideM = 0;
  let isOwnHouse = clutter.findClutter(to.lon, to.lat).kind !== "trees";
  for (let step = steps - 1; step > 0; step--) {
    const alongM = (distanceM * step) / steps;
    const at = findGeodesicPoint(from, azimuthDeg, alongM);
    const { kind, heightM } = clutter.findClutter(at.lon, at.lat);
    if (!(heightM > 0) || kind === "trees") isOwnHouse = false;
    const bulgeM = (alongM * (distanceM - alongM)) / (2 * EFFECTIVE_EARTH_RADIUS_M);
    const lineM = fromM + ((toM - fromM) * alongM) / distanceM - bulgeM;
    const topM = ground.findHeightAmslM(at.lon, at.lat) + heightM;
    if (!isOwnHouse && topM - lineM > 5) insideM += distanceM / steps;
  }
  return insideM;
}
