import type { Projection } from "@fellmark/geodesy";
import { findKeyCode, findKeyValue, type GeoKeys, KEY, type KeyName, refuseKey, USER_DEFINED } from "./geo-key-list.ts";

interface Method {
  proj: Projection["proj"];
  parallels: KeyName[];
}

/** By the code of the method, OGC 19-008r4, annex C.2 (the codes of GeoTIFF 1.0, section 6.3.3.3). */
const METHODS: Record<number, Method> = {
  1: { proj: "tmerc", parallels: [] },
  8: { proj: "lcc", parallels: ["ProjStdParallel1", "ProjStdParallel2"] },
  9: { proj: "lcc", parallels: [] },
  10: { proj: "laea", parallels: [] },
  11: { proj: "aea", parallels: ["ProjStdParallel1", "ProjStdParallel2"] },
  15: { proj: "stere", parallels: [] },
};

/** The names of one quantity in different projection methods. */
const ORIGIN_LON: KeyName[] = [
  "ProjNatOriginLong",
  "ProjFalseOriginLong",
  "ProjCenterLong",
  "ProjStraightVertPoleLong",
];
const ORIGIN_LAT: KeyName[] = ["ProjNatOriginLat", "ProjFalseOriginLat", "ProjCenterLat"];
const EASTING: KeyName[] = ["ProjFalseEasting", "ProjFalseOriginEasting", "ProjCenterEasting"];
const NORTHING: KeyName[] = ["ProjFalseNorthing", "ProjFalseOriginNorthing", "ProjCenterNorthing"];
const SCALE: KeyName[] = ["ProjScaleAtNatOrigin", "ProjScaleAtCenter"];

const METRE = 9001;
const GREENWICH = 8901;

/** Geodetic systems and datums that package geodesy treats as one, and systems that only name an ellipsoid. */
const ELLIPSOID_OF_CRS: Record<number, Projection["ellps"]> = {
  4326: "WGS84",
  4030: "WGS84",
  4269: "GRS80",
  4258: "GRS80",
  4019: "GRS80",
};
const ELLIPSOID_OF_DATUM: Record<number, Projection["ellps"]> = {
  6326: "WGS84",
  6030: "WGS84",
  6269: "GRS80",
  6258: "GRS80",
  6019: "GRS80",
};
const ELLIPSOID_BY_CODE: Record<number, Projection["ellps"]> = { 7030: "WGS84", 7019: "GRS80" };

/** Semi-major axis of both ellipsoids, m; their flattenings differ by a tenth of a millimetre on the ground. */
const SEMI_MAJOR_M = 6_378_137;
const INVERSE_FLATTENING = 298.25722;

/** Returns the projection that the keys describe. Throws TerrainError `raster_refused` naming the key that is not supported. */
export function readProjection(keys: GeoKeys): Projection {
  requireMetres(keys);
  const ellps = readEllipsoid(keys);
  return findKeyCode(keys, "Projection") === undefined ? readWrittenProjection(keys, ellps) : readUtm(keys, ellps);
}

/** Projection codes 16001 to 16060 are the UTM zones north, 16101 to 16160 those south (GeoTIFF 1.0, 6.3.3.2). */
function readUtm(keys: GeoKeys, ellps: Projection["ellps"]): Projection {
  const code = findKeyCode(keys, "Projection") as number;
  const zone = code % 100;
  const south = code > 16_100;
  if (!(zone >= 1 && zone <= 60 && (code - zone === 16_000 || code - zone === 16_100)))
    throw refuseKey(keys, "Projection");
  return {
    proj: "tmerc",
    ellps,
    originLatDeg: 0,
    originLonDeg: 6 * zone - 183,
    parallelsDeg: [],
    scale: 0.9996,
    falseEastingM: 500_000,
    falseNorthingM: south ? 10_000_000 : 0,
  };
}

function readWrittenProjection(keys: GeoKeys, ellps: Projection["ellps"]): Projection {
  const method = METHODS[findKeyCode(keys, "ProjMethod") ?? 0];
  if (!method) throw refuseKey(keys, "ProjMethod");
  const originLatDeg = readBoundedKey(keys, ORIGIN_LAT, 90);
  return {
    proj: method.proj,
    ellps,
    ...readLatitudes(keys, method, originLatDeg),
    originLonDeg: readBoundedKey(keys, ORIGIN_LON, 360),
    scale: readScale(keys),
    falseEastingM: readBoundedKey(keys, EASTING, 1e8, 0),
    falseNorthingM: readBoundedKey(keys, NORTHING, 1e8, 0),
  };
}

/** A cone with one standard parallel touches at its origin; a polar projection has a latitude of true scale. */
function readLatitudes(keys: GeoKeys, { proj, parallels }: Method, originLatDeg: number) {
  if (proj === "stere") {
    const isPole = Math.abs(originLatDeg) === 90;
    return { originLatDeg: originLatDeg < 0 ? -90 : 90, parallelsDeg: isPole ? [] : [originLatDeg] };
  }
  if (proj === "lcc" && parallels.length === 0) return { originLatDeg, parallelsDeg: [originLatDeg] };
  const parallelsDeg = parallels.map((name) => readBoundedKey(keys, [name], 89));
  if (parallels.length > 0 && Math.abs(parallelsDeg.reduce((sum, each) => sum + each, 0)) < 1) {
    throw refuseKey(keys, "ProjStdParallel2");
  }
  return { originLatDeg, parallelsDeg };
}

function readScale(keys: GeoKeys): number {
  const scale = readBoundedKey(keys, SCALE, 2, 1);
  if (scale < 0.5) throw refuseKey(keys, SCALE.find((name) => findKeyValue(keys, name) !== undefined) as KeyName);
  return scale;
}

/** Returns the value of the first of these keys that the file has. Its absolute value is at most `limit`. */
function readBoundedKey(keys: GeoKeys, names: KeyName[], limit: number, absent?: number): number {
  const name = names.find((each) => findKeyValue(keys, each) !== undefined);
  const value = name === undefined ? absent : findKeyValue(keys, name);
  if (value === undefined || !(Math.abs(value) <= limit)) throw refuseKey(keys, name ?? (names[0] as KeyName));
  return value;
}

function requireMetres(keys: GeoKeys): void {
  const unit = findKeyValue(keys, "ProjLinearUnits") ?? METRE;
  if (unit === METRE || (unit === USER_DEFINED && findKeyValue(keys, "ProjLinearUnitSize") === 1)) return;
  throw refuseKey(keys, unit === USER_DEFINED ? "ProjLinearUnitSize" : "ProjLinearUnits");
}

/** Returns the ellipsoid of a system by its code, its datum or its axes. Throws TerrainError `raster_refused` for a datum of another kind. */
export function readEllipsoid(keys: GeoKeys): Projection["ellps"] {
  const meridian = findKeyCode(keys, "PrimeMeridian") ?? GREENWICH;
  if (meridian !== GREENWICH) throw refuseKey(keys, "PrimeMeridian");
  if ((findKeyValue(keys, "PrimeMeridianLongitude") ?? 0) !== 0) throw refuseKey(keys, "PrimeMeridianLongitude");
  if (keys.get(KEY.GeogTOWGS84)?.some((each) => each !== 0)) throw refuseKey(keys, "GeogTOWGS84");
  return (
    findByCode(keys, "GeodeticCRS", ELLIPSOID_OF_CRS) ??
    findByCode(keys, "GeodeticDatum", ELLIPSOID_OF_DATUM) ??
    findByCode(keys, "Ellipsoid", ELLIPSOID_BY_CODE) ??
    matchAxes(keys)
  );
}

/** Returns the ellipsoid of a code; undefined where the key has no code. Throws `raster_refused` for a code not listed. */
function findByCode(
  keys: GeoKeys,
  name: KeyName,
  list: Record<number, Projection["ellps"]>,
): Projection["ellps"] | undefined {
  const code = findKeyCode(keys, name);
  if (code === undefined) return undefined;
  const found = list[code];
  if (!found) throw refuseKey(keys, name);
  return found;
}

function matchAxes(keys: GeoKeys): Projection["ellps"] {
  const a = findKeyValue(keys, "EllipsoidSemiMajorAxis");
  if (!(Math.abs((a ?? 0) - SEMI_MAJOR_M) < 0.01)) throw refuseKey(keys, "EllipsoidSemiMajorAxis");
  const b = findKeyValue(keys, "EllipsoidSemiMinorAxis");
  const inverse = findKeyValue(keys, "EllipsoidInvFlattening") ?? SEMI_MAJOR_M / (SEMI_MAJOR_M - (b ?? 0));
  if (!(Math.abs(inverse - INVERSE_FLATTENING) < 1e-4))
    throw refuseKey(keys, b === undefined ? "EllipsoidInvFlattening" : "EllipsoidSemiMinorAxis");
  return "GRS80";
}
