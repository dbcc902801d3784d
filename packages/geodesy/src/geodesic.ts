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

function positive(azimuthDeg: number): number {
  return azimuthDeg < 0 ? azimuthDeg + 360 : azimuthDeg;
}

/** Shortest line on WGS84 between two points. Source: C. F. F. Karney, J. Geodesy 87 (2013), accurate to nanometres. */
export function geodesicBetween(from: LonLat, to: LonLat): Geodesic {
  const line = wgs84.Inverse(from.lat, from.lon, to.lat, to.lon);
  return {
    distanceM: line.s12 as number,
    azimuthDeg: positive(line.azi1 as number),
    backAzimuthDeg: positive(((line.azi2 as number) + 540) % 360),
  };
}

/** The point reached from `from` along an azimuth; longitude is continuous with the start (it may leave -180..180). */
export function geodesicPoint(from: LonLat, azimuthDeg: number, distanceM: number): LonLat {
  const mask = geographiclib.Geodesic.STANDARD | geographiclib.Geodesic.LONG_UNROLL;
  const end = wgs84.Direct(from.lat, from.lon, azimuthDeg, distanceM, mask);
  return { lon: end.lon2 as number, lat: end.lat2 as number };
}

/** `count` points along the geodesic from `from` to `to`, ends included, at equal steps; at least 2. */
export function geodesicPoints(from: LonLat, to: LonLat, count: number): LonLat[] {
  const mask =
    geographiclib.Geodesic.STANDARD | geographiclib.Geodesic.DISTANCE_IN | geographiclib.Geodesic.LONG_UNROLL;
  const line = wgs84.InverseLine(from.lat, from.lon, to.lat, to.lon, mask);
  return Array.from({ length: count }, (_, index) => {
    const end = line.Position((line.s13 * index) / (count - 1), mask);
    return { lon: end.lon2 as number, lat: end.lat2 as number };
  });
}
