import type { LonLat } from "@fellmark/geodesy";
import { booleanPointInPolygon } from "@turf/boolean-point-in-polygon";
import { difference } from "@turf/difference";
import { feature, featureCollection, multiPolygon } from "@turf/helpers";
import { union } from "@turf/union";
import type { Feature, MultiPolygon, Polygon, Position } from "geojson";
import { listPolygons } from "../geojson.ts";
import type { AreaShapes } from "./area-mask.ts";
import { type DrawnShape, unwrapShape } from "./drawn-shape.ts";

type Region = Feature<Polygon | MultiPolygon>;

/** True for a place that counts: in a shape of `within` if there is one, and in none of `exclude`. */
export function isInArea({ lon, lat }: LonLat, { within, exclude }: AreaShapes): boolean {
  const isIn = (shape: DrawnShape) => booleanPointInPolygon([lon, lat], multiPolygon(unwrapShape(shape, lon)));
  return (within.length === 0 || within.some(isIn)) && !exclude.some(isIn);
}

/**
 * The outlines of an area's shapes: the search area less what is excluded, or the excluded zones alone where all else
 * counts. Longitudes are continuous about `nearLonDeg`; empty where nothing is left.
 */
export function findOutlines({ within, exclude }: AreaShapes, nearLonDeg: number): Position[][][] {
  const excluded = uniteShapes(exclude, nearLonDeg);
  const searched = uniteShapes(within, nearLonDeg);
  if (searched === null || excluded === null) return listOutlines(searched ?? excluded);
  return listOutlines(difference(featureCollection([searched, excluded])));
}

function uniteShapes(shapes: readonly DrawnShape[], nearLonDeg: number): Region | null {
  const regions: Region[] = shapes.map((shape) => feature(toMultiPolygon(shape, nearLonDeg)));
  return regions.length < 2 ? (regions[0] ?? null) : union(featureCollection(regions));
}

function toMultiPolygon(shape: DrawnShape, nearLonDeg: number): MultiPolygon {
  return { type: "MultiPolygon", coordinates: unwrapShape(shape, nearLonDeg) };
}

function listOutlines(region: Region | null): Position[][][] {
  return region === null ? [] : listPolygons(region.geometry);
}
