import { MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import type { FieldProblem } from "@fellmark/units";
import { z } from "zod";
import { place } from "./field-schemas.ts";

/** Positions of all shapes of an area together. */
const MAX_AREA_POSITIONS = 2000;

/** A polygon wider than this is refused: which way round the world it goes would be a guess. */
const MAX_SPAN_DEG = 90;

const position = z
  .array(z.number())
  .min(2)
  .max(3)
  .describe("Longitude and latitude in degrees, WGS84; a height is ignored");
const ring = z.array(position).min(4).max(MAX_AREA_POSITIONS).describe("Closed: the last position repeats the first");
const rings = z.array(ring).min(1).max(64).describe("The outer ring, then its holes");

/** A shape that a person draws: GeoJSON (RFC 7946, section 3.1) or a circle on the ground. */
export const areaShapeSchema = z.union([
  z.strictObject({
    type: z.literal("Polygon").describe("A GeoJSON polygon"),
    coordinates: rings,
  }),
  z.strictObject({
    type: z.literal("MultiPolygon").describe("Several GeoJSON polygons"),
    coordinates: z.array(rings).min(1).max(64).describe("The rings of each polygon"),
  }),
  z.strictObject({
    circle: z
      .strictObject({ ...place, radiusM: z.number().min(1).max(200_000).describe("Radius on the ground, m") })
      .describe("All places within a distance of a centre"),
  }),
]);

export type AreaShape = z.output<typeof areaShapeSchema>;

/** One shape, or several that count together. */
export const areaShapesSchema = z.union([areaShapeSchema, z.array(areaShapeSchema).min(1).max(64)]);

export type AreaShapes = z.output<typeof areaShapesSchema>;

/** The shapes of a field, whether it holds none, one or several. */
export function listShapes(shapes: AreaShapes | undefined): AreaShape[] {
  if (shapes === undefined) return [];
  return Array.isArray(shapes) ? shapes : [shapes];
}

type Ring = readonly number[][];

/** The faults of an area's shapes that a schema cannot tell. */
export function findShapeProblems(area: {
  within?: AreaShapes | undefined;
  exclude?: AreaShapes | undefined;
}): FieldProblem[] {
  const located = (["within", "exclude"] as const).flatMap((field) => locateRings(area[field], `/area/${field}`));
  const count = located.reduce((sum, { ring }) => sum + ring.length, 0);
  if (count > MAX_AREA_POSITIONS) {
    const detail = `the shapes of the area have ${count} positions; simplify them`;
    return [{ pointer: "/area", detail, limit: MAX_AREA_POSITIONS }];
  }
  return located.flatMap(({ ring, pointer }) => findRingProblems(ring, pointer).slice(0, 1));
}

function locateRings(shapes: AreaShapes | undefined, field: string): { ring: Ring; pointer: string }[] {
  return listShapes(shapes).flatMap((shape, index) => {
    if ("circle" in shape) return [];
    const pointer = `${field}${Array.isArray(shapes) ? `/${index}` : ""}/coordinates`;
    const polygons = shape.type === "Polygon" ? [shape.coordinates] : shape.coordinates;
    return polygons.flatMap((polygon, at) =>
      polygon.map((ring, part) => ({
        ring,
        pointer: `${pointer}${shape.type === "Polygon" ? "" : `/${at}`}/${part}`,
      })),
    );
  });
}

function findRingProblems(ring: Ring, pointer: string): FieldProblem[] {
  const [first, last] = [ring[0], ring[ring.length - 1]];
  const problems = ring.flatMap(([lon, lat], index) => findRangeProblems(lon, lat, `${pointer}/${index}`));
  if (first[0] !== last[0] || first[1] !== last[1]) {
    problems.push({ pointer, detail: "the ring is not closed: repeat the first position at the end" });
  }
  if (problems.length > 0) return problems;
  const corners = unwrapLongitudes(ring);
  const lons = corners.map(([lon]) => lon);
  const spanDeg = Math.max(...lons) - Math.min(...lons);
  if (spanDeg > MAX_SPAN_DEG) {
    return [{ pointer, detail: `the ring spans ${spanDeg.toFixed(0)} degrees of longitude`, limit: MAX_SPAN_DEG }];
  }
  const crossing = findCrossing(corners);
  if (crossing === null) return [];
  const detail = `the ring meets itself: the edges after positions ${crossing[0]} and ${crossing[1]} cross or touch`;
  return [{ pointer, detail }];
}

function findRangeProblems(lon: number, lat: number, pointer: string): FieldProblem[] {
  const problems: FieldProblem[] = [];
  if (Math.abs(lon) > 180)
    problems.push({ pointer: `${pointer}/0`, detail: `longitude ${lon} is not within -180 to 180`, limit: 180 });
  if (Math.abs(lat) > MAX_LATITUDE_DEG) {
    const detail = `latitude ${lat} is not within -${MAX_LATITUDE_DEG} to ${MAX_LATITUDE_DEG}`;
    problems.push({ pointer: `${pointer}/1`, detail, limit: MAX_LATITUDE_DEG });
  }
  return problems;
}

/** A ring over the antimeridian with continuous longitudes: an edge never spans more than 180 degrees. */
function unwrapLongitudes(ring: Ring): number[][] {
  let turn = 0;
  return ring.map(([lon, lat], index) => {
    const before = index === 0 ? lon : ring[index - 1][0];
    turn += 360 * Math.round((before - lon) / 360);
    return [lon + turn, lat];
  });
}

/** The first positions of two edges that meet in more than a common corner; null where there are none. */
function findCrossing(corners: readonly number[][]): [number, number] | null {
  const ring = { x: Float64Array.from(corners, ([lon]) => lon), y: Float64Array.from(corners, ([, lat]) => lat) };
  const edges = corners.length - 1;
  for (let one = 0; one < edges; one++) {
    for (let other = one + 1; other < edges; other++) {
      if (!doRangesMeet(ring.x, one, other) || !doRangesMeet(ring.y, one, other)) continue;
      const isNext = other === one + 1 || (one === 0 && other === edges - 1);
      if (isNext ? doesFoldBack(ring, one, other) : doMeet(ring, one, other)) return [one, other];
    }
  }
  return null;
}

interface FlatRing {
  x: Float64Array;
  y: Float64Array;
}

/** True where two edges have a coordinate of one axis in common. */
function doRangesMeet(along: Float64Array, one: number, other: number): boolean {
  const [a, b, c, d] = [along[one], along[one + 1], along[other], along[other + 1]];
  return Math.max(Math.min(a, b), Math.min(c, d)) <= Math.min(Math.max(a, b), Math.max(c, d));
}

/** True where two edges whose boxes meet have a point in common. */
function doMeet(ring: FlatRing, one: number, other: number): boolean {
  const [a, b] = [findSide(ring, one, other), findSide(ring, one, other + 1)];
  const [c, d] = [findSide(ring, other, one), findSide(ring, other, one + 1)];
  return a * b <= 0 && c * d <= 0;
}

/** 1 where a point lies left of the edge that starts at a corner, -1 on its right, 0 on its line. */
function findSide({ x, y }: FlatRing, edge: number, point: number): number {
  const [dx, dy] = [x[edge + 1] - x[edge], y[edge + 1] - y[edge]];
  return Math.sign(dx * (y[point] - y[edge]) - dy * (x[point] - x[edge]));
}

/** True where neighbouring edges lie on one another, or one of them has no length. */
function doesFoldBack({ x, y }: FlatRing, one: number, other: number): boolean {
  const [a, b, c] = other === one + 1 ? [one, other, other + 1] : [other, one, one + 1];
  const [inX, inY, outX, outY] = [x[b] - x[a], y[b] - y[a], x[c] - x[b], y[c] - y[b]];
  return inX * outY - inY * outX === 0 && inX * outX + inY * outY <= 0;
}
