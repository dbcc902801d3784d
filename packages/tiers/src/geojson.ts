/** The part of GeoJSON that is written here. Source: RFC 7946, section 3. */

/** Longitude and latitude, degrees. */
export type Position = number[];

export interface Polygon {
  type: "Polygon";
  /** The outer ring, then its holes; each ring repeats its first position at the end. */
  coordinates: Position[][];
}

export interface MultiPolygon {
  type: "MultiPolygon";
  coordinates: Position[][][];
}

export interface PolygonFeature<Properties> {
  type: "Feature";
  properties: Properties;
  geometry: Polygon | MultiPolygon;
}

export interface PolygonCollection<Properties> {
  type: "FeatureCollection";
  /** West, south, east, north; west is greater than east over the antimeridian. */
  bbox?: [number, number, number, number];
  features: PolygonFeature<Properties>[];
}

/** The polygons of a feature, whether it has one or many. */
export function polygonsOf(geometry: Polygon | MultiPolygon): Position[][][] {
  return geometry.type === "Polygon" ? [geometry.coordinates] : geometry.coordinates;
}
