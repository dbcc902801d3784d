import type { MultiPolygon, Polygon, Position } from "geojson";
import { listPolygons } from "../geojson.ts";
import { findEdgeFaults, type RingEdges } from "./edge-faults.ts";

/** Coordinates are compared as whole steps of 1e-7 degrees, so that every test is exact. */
const STEPS_PER_DEG = 1e7;

/** A polygon layer whose features must not overlap. */
export interface PolygonLayer {
  features: { geometry: Polygon | MultiPolygon }[];
}

/**
 * Returns the faults of the polygons of a layer, in words; empty where there are none. Checks RFC 7946, section 3.1.6
 * (closed rings of 4 positions or more, outer rings anticlockwise, holes clockwise), longitudes and latitudes in range
 * with 7 decimals at most, rings that pass no point twice, and that no two edges of the layer cross, touch between
 * their ends or lie on one another, except the two sides of a border. classesOfTiers finds overlap without an edge in
 * common.
 */
export function findGeometryFaults(layer: PolygonLayer): string[] {
  const faults: string[] = [];
  const rings: RingEdges[] = [];
  for (const [feature, { geometry }] of layer.features.entries()) {
    for (const [polygon, parts] of listPolygons(geometry).entries()) {
      for (const [part, positions] of parts.entries()) {
        const name = `feature ${feature} polygon ${polygon} ring ${part}`;
        const ring = { name, x: listSteps(positions, 0), y: listSteps(positions, 1) };
        faults.push(...findRingFaults(positions, ring, part === 0).map((fault) => `${name}: ${fault}`));
        rings.push(ring);
      }
    }
  }
  return [...faults, ...findEdgeFaults(rings)];
}

function listSteps(positions: Position[], axis: 0 | 1): Float64Array {
  return Float64Array.from(positions, (position) => Math.round(position[axis] * STEPS_PER_DEG));
}

function findRingFaults(positions: Position[], { x, y }: RingEdges, isOuter: boolean): string[] {
  const faults: string[] = [];
  const last = positions.length - 1;
  if (positions.length < 4) faults.push(`has ${positions.length} positions`);
  if (x[0] !== x[last] || y[0] !== y[last]) faults.push("is not closed");
  if (positions.some(([lon, lat]) => Math.abs(lon) > 180 || Math.abs(lat) > 90)) faults.push("leaves the world");
  if (
    positions.some((position, at) => position[0] !== x[at] / STEPS_PER_DEG || position[1] !== y[at] / STEPS_PER_DEG)
  ) {
    faults.push("has more than 7 decimals");
  }
  const seen = new Set(Array.from({ length: last }, (_, at) => `${x[at]},${y[at]}`));
  if (seen.size < last) faults.push("passes a point twice");
  const twiceArea = computeTwiceSignedArea(x, y);
  if (twiceArea === 0 || twiceArea > 0 !== isOuter) faults.push(isOuter ? "runs clockwise" : "runs anticlockwise");
  return faults;
}

/** Positive where the ring runs anticlockwise. */
function computeTwiceSignedArea(x: Float64Array, y: Float64Array): number {
  let sum = 0;
  for (let at = 1; at < x.length; at++) {
    sum += (x[at - 1] - x[0]) * (y[at] - y[0]) - (x[at] - x[0]) * (y[at - 1] - y[0]);
  }
  return sum;
}
