import { findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { MultiPolygon, Polygon, Position } from "geojson";
import { listPolygons } from "../geojson.ts";

/** A shape that a person draws: GeoJSON, or a circle on the ground. */
export type DrawnShape = Polygon | MultiPolygon | { circle: LonLat & { radiusM: number } };

/** Corners of a circle: its area comes out 0.01 % small, its radius at most 0.01 %. */
const CIRCLE_CORNERS = 256;

/**
 * The polygons of a shape with continuous longitudes, which may leave -180 to 180: the outer ring on the turn of the
 * world nearest to a longitude, holes on the turn of their outer ring. A polygon cut at the antimeridian (RFC 7946,
 * section 3.1.9) comes out in pieces that lie side by side.
 */
export function unwrapShape(shape: DrawnShape, nearLonDeg: number): Position[][][] {
  if ("circle" in shape) return [[moveRing(toCircle(shape.circle), nearLonDeg)]];
  return listPolygons(shape).map(([outer, ...holes]) => {
    const shell = moveRing(unwrapRing(outer), nearLonDeg);
    return [shell, ...holes.map((hole) => moveRing(unwrapRing(hole), findMiddle(shell)))];
  });
}

/** A circle about a centre on WGS84, anticlockwise from the north. Distances to its corners are exact. */
function toCircle({ lon, lat, radiusM }: LonLat & { radiusM: number }): Position[] {
  const corners = Array.from({ length: CIRCLE_CORNERS }, (_, corner) => {
    const point = findGeodesicPoint({ lon, lat }, -(360 * corner) / CIRCLE_CORNERS, radiusM);
    return [point.lon, point.lat];
  });
  return [...corners, corners[0]];
}

/** No edge of a ring spans more than 180 degrees. */
function unwrapRing(ring: readonly Position[]): Position[] {
  let turn = 0;
  return ring.map(([lon, lat], index) => {
    const before = index === 0 ? lon : ring[index - 1][0];
    turn += 360 * Math.round((before - lon) / 360);
    return [lon + turn, lat];
  });
}

/** The ring on the turn of the world on which its middle is nearest to a longitude. */
function moveRing(ring: Position[], nearLonDeg: number): Position[] {
  const turn = 360 * Math.round((nearLonDeg - findMiddle(ring)) / 360);
  return turn === 0 ? ring : ring.map(([lon, lat]) => [lon + turn, lat]);
}

function findMiddle(ring: readonly Position[]): number {
  const lons = ring.map(([lon]) => lon);
  return (Math.min(...lons) + Math.max(...lons)) / 2;
}
