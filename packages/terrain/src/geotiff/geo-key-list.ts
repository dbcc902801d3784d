import type { TerrainError } from "@fellmark/units";
import { refuseRaster } from "../raster/refuse-raster.ts";

/** Numeric values of the geo keys of a file. */
export type GeoKeys = ReadonlyMap<number, readonly number[]>;

/** Keys by their names and numbers in OGC GeoTIFF 1.1 (OGC 19-008r4), annex B; GeogTOWGS84 is GDAL's. */
export const KEY = {
  GTModelType: 1024,
  GTRasterType: 1025,
  GeodeticCRS: 2048,
  GeodeticDatum: 2050,
  PrimeMeridian: 2051,
  GeogAngularUnits: 2054,
  Ellipsoid: 2056,
  EllipsoidSemiMajorAxis: 2057,
  EllipsoidSemiMinorAxis: 2058,
  EllipsoidInvFlattening: 2059,
  PrimeMeridianLongitude: 2061,
  GeogTOWGS84: 2062,
  ProjectedCRS: 3072,
  Projection: 3074,
  ProjMethod: 3075,
  ProjLinearUnits: 3076,
  ProjLinearUnitSize: 3077,
  ProjStdParallel1: 3078,
  ProjStdParallel2: 3079,
  ProjNatOriginLong: 3080,
  ProjNatOriginLat: 3081,
  ProjFalseEasting: 3082,
  ProjFalseNorthing: 3083,
  ProjFalseOriginLong: 3084,
  ProjFalseOriginLat: 3085,
  ProjFalseOriginEasting: 3086,
  ProjFalseOriginNorthing: 3087,
  ProjCenterLong: 3088,
  ProjCenterLat: 3089,
  ProjCenterEasting: 3090,
  ProjCenterNorthing: 3091,
  ProjScaleAtNatOrigin: 3092,
  ProjScaleAtCenter: 3093,
  ProjStraightVertPoleLong: 3095,
  Vertical: 4096,
  VerticalUnits: 4099,
} as const;

export type KeyName = keyof typeof KEY;

/** The value of a key that other keys describe. */
export const USER_DEFINED = 32767;

/** Returns the first value of a key; undefined where the file does not have it. */
export function findKeyValue(keys: GeoKeys, name: KeyName): number | undefined {
  return keys.get(KEY[name])?.[0];
}

/** Returns the code of a key; undefined where it is absent or user-defined. */
export function findKeyCode(keys: GeoKeys, name: KeyName): number | undefined {
  const code = findKeyValue(keys, name);
  return code === USER_DEFINED ? undefined : code;
}

/** The error for a raster whose key is missing or has a value that is not supported. */
export function refuseKey(keys: GeoKeys, name: KeyName): TerrainError {
  const values = keys.get(KEY[name]);
  const state = values ? `${values.join(" ")}, which is not supported` : "missing";
  return refuseRaster(`its reference system is user-defined, and ${name} (${KEY[name]}) is ${state}`);
}
