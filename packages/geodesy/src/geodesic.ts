import geographiclib from "geographiclib-geodesic";
import type { LonLat } from "./lattice.ts";

const wgs84 = geographiclib.Geodesic.WGS84;

export interface Geodesic {
  distanceM: number;
  /** Azimuth at the start, clockwise from true north, 0 <= az < 360. */
  azimuthDeg: number;
  /** Azimuth at the end pointing back to the start, 0 <= az < 360. */
  backAzimuthDeg: number;
}

function normalisePositiveDeg(azimuthDeg: number): number {
  return azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg;
}

/** Returns the shortest line on WGS84 between two points. Source: C. F. F. Karney, J. Geodesy 87 (2013), accurate to nanometres. */
export function findGeodesic(from: LonLat, to: LonLat): Geodesic {
  const line = wgs84.Inverse(from.lat, from.lon, to.lat, to.lon);
  return toGeodesic(line.s12 as number, line.azi1 as number, line.azi2 as number);
}

/** Longest stretch of a line between every other node, m. */
const STRETCH_M = 10_000;

/**
 * A geodesic with nodes from which its points are interpolated: geographiclib needs microseconds per point, interpolation
 * nanoseconds. A stretch goes from an even node through the odd one in its middle to the next even one.
 * Accuracy: the parabola through the nodes of a stretch, in degrees or on a map, lies within 10 mm of the geodesic up to
 * 60 degrees of latitude (a test in package terrain).
 */
export interface GeodesicLine extends Geodesic {
  /** 2 n + 1 nodes at equal steps, both ends included; longitude is continuous (it may leave -180..180). */
  nodeLon: Float64Array;
  nodeLat: Float64Array;
}

/** Returns the geodesic from one point to another, with its nodes. */
export function createGeodesicLine(from: LonLat, to: LonLat): GeodesicLine {
  const { STANDARD, DISTANCE_IN, LONG_UNROLL } = geographiclib.Geodesic;
  const mask = STANDARD | DISTANCE_IN | LONG_UNROLL;
  const line = wgs84.InverseLine(from.lat, from.lon, to.lat, to.lon, mask);
  const steps = 2 * Math.max(1, Math.ceil(line.s13 / STRETCH_M));
  const nodeLon = new Float64Array(steps + 1);
  const nodeLat = new Float64Array(steps + 1);
  let endAzimuthDeg = line.azi1;
  for (let node = 0; node <= steps; node++) {
    const point = line.Position((line.s13 * node) / steps, mask);
    nodeLon[node] = point.lon2 as number;
    nodeLat[node] = point.lat2 as number;
    endAzimuthDeg = point.azi2 as number;
  }
  return { ...toGeodesic(line.s13, line.azi1, endAzimuthDeg), nodeLon, nodeLat };
}

function toGeodesic(distanceM: number, startAzimuthDeg: number, endAzimuthDeg: number): Geodesic {
  return {
    distanceM,
    azimuthDeg: normalisePositiveDeg(startAzimuthDeg),
    backAzimuthDeg: normalisePositiveDeg((endAzimuthDeg + 540) % 360),
  };
}

/** Returns the point at a distance along an azimuth; longitude is continuous with the start (it may leave -180..180). */
export function findGeodesicPoint(from: LonLat, azimuthDeg: number, distanceM: number): LonLat {
  const mask = geographiclib.Geodesic.STANDARD | geographiclib.Geodesic.LONG_UNROLL;
  const end = wgs84.Direct(from.lat, from.lon, azimuthDeg, distanceM, mask);
  return { lon: end.lon2 as number, lat: end.lat2 as number };
}
