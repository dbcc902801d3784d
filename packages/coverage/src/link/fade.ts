import type { ModelSpec } from "@fellmark/network";
import { computeFadeMarginDb } from "@fellmark/propagation";
import { MEAN_EARTH_RADIUS_KM, RAD_PER_DEG } from "@fellmark/units";

/** Terrain factor C of the multipath fade margin: average terrain and climate. Source: see multipathOccurrence. */
const AVERAGE_TERRAIN = 1;

/** Inputs of the fade margin of a link. */
export interface FadingPath {
  distanceM: number;
  frequencyGhz: number;
  /** Antennas above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
}

/** Margin that a link keeps against fading, dB, by the rule of the model, and the least one it asks for. */
export function computeLinkFadeDb({ availability, fading }: ModelSpec, path: FadingPath): number {
  const { rule, rainMmPerHour, leastMarginDb } = fading;
  const marginDb = computeFadeMarginDb({ rule, availability, rainMmPerHour, terrainFactor: AVERAGE_TERRAIN, ...path });
  return Math.max(leastMarginDb, marginDb);
}

/** Rays at both ends of a path and what it takes to find the line between its antennas from them. */
export interface PathRays {
  distanceM: number;
  departureElevationDeg: number;
  arrivalElevationDeg: number;
  /** Antenna at the mast, m above sea level. */
  mastAmslM: number;
}

/**
 * Height of the CPE above sea level, m, by the rays of its path: exact in line of sight. Where an obstacle lifts the
 * rays, any height between those they allow is possible; the one nearest to the mast's own is taken, the least inclined
 * path, which fades most.
 * Source: geometry; the rays are those of `findPathGeometry`, over the curved Earth.
 * Example: 10 km, 4/3 Earth, -0.1713 and 0.1037 degrees, mast at 61 m: 37.0 m.
 */
export function findCpeAmslM(
  { earthRadiusFactor }: Pick<ModelSpec, "earthRadiusFactor">,
  { distanceM, departureElevationDeg, arrivalElevationDeg, mastAmslM }: PathRays,
): number {
  const sinks = distanceM / (2 * earthRadiusFactor * MEAN_EARTH_RADIUS_KM * 1000);
  const most = Math.tan(departureElevationDeg * RAD_PER_DEG) + sinks;
  const least = -Math.tan(arrivalElevationDeg * RAD_PER_DEG) - sinks;
  return mastAmslM + distanceM * findLeastSlope(least, most);
}

/** The slope nearest to 0 of those between two. */
export function findLeastSlope(least: number, most: number): number {
  return Math.max(least, Math.min(0, most));
}
