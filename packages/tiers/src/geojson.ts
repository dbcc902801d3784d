import type { Feature, FeatureCollection, MultiPolygon, Polygon, Position } from "geojson";

export type PolygonFeature<Properties> = Feature<Polygon | MultiPolygon, Properties>;

/** `bbox` is west, south, east, north; west is greater than east over the antimeridian (RFC 7946, section 5.2). */
export type PolygonCollection<Properties> = FeatureCollection<Polygon | MultiPolygon, Properties>;

/** The polygons of a geometry, whether it has one or many. */
export function listPolygons(geometry: Polygon | MultiPolygon): Position[][][] {
  return geometry.type === "Polygon" ? [geometry.coordinates] : geometry.coordinates;
}
