import { createGeodesicLine, type LonLat } from "@fellmark/geodesy";
import type { TerrainMosaic } from "./mosaic.ts";

/** Ground heights along a line, at equal steps from one end to the other. */
export interface TerrainProfile {
  distanceM: Float64Array;
  /** NaN where not known. */
  heightAmslM: Float64Array;
  /** Share of the points whose height is not known, 0 to 1. */
  notKnownShare: number;
}

/**
 * The profile along the WGS84 geodesic, both ends included: 3 or more points, no further apart than `stepM`.
 * A path of 1000 m at 300 m has 5 points, 250 m apart.
 */
export function readProfile(mosaic: TerrainMosaic, from: LonLat, to: LonLat, stepM: number): TerrainProfile {
  if (!(stepM > 0)) throw new RangeError(`stepM must be above 0, got ${stepM}`);
  const line = createGeodesicLine(from, to);
  const steps = Math.max(2, Math.ceil(line.distanceM / stepM));
  const heightAmslM = new Float64Array(steps + 1);
  const notKnown = mosaic.sampleHeights(line, heightAmslM);
  const distanceM = new Float64Array(steps + 1);
  for (let point = 0; point <= steps; point++) distanceM[point] = (line.distanceM * point) / steps;
  return { distanceM, heightAmslM, notKnownShare: notKnown / heightAmslM.length };
}
