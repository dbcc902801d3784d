import { type Crs, crsOf } from "@fellmark/geodesy";
import { type Area, isWithin } from "./area.ts";
import { readCoordinate } from "./coordinate.ts";
import type { RowFault } from "./rejection.ts";

/** Latitudes beyond have no place on the lattice. */
const MAX_LAT_DEG = 85;

const WGS84_EPSG = 4326;

export interface PointColumns {
  lon: string;
  lat: string;
}

/** A point, and whether it lies outside the area that was named; or why it is none. */
export type ReadPoint = { lon: number; lat: number; isOutside: boolean } | { fault: RowFault };

export interface PointOptions {
  /** EPSG code of the system of the cells; default: degrees on WGS84. */
  crs?: number | undefined;
  /** Where points are expected: without it swapped degrees are noticed only where they are out of range. */
  area?: Area | undefined;
}

/**
 * What reads the points of a file: from two cells to degrees on WGS84. Nothing is repaired: a point that looks swapped is
 * refused, with what it would be.
 * Throws FellmarkError 'crs_not_supported' for one that is not in the list.
 */
export function pointReader(
  columns: PointColumns,
  { crs: epsg = WGS84_EPSG, area }: PointOptions = {},
): (lonText: string, latText: string) => ReadPoint {
  const crs = crsOf(epsg);
  return (lonText, latText) => {
    const x = readCoordinate(lonText);
    if ("fault" in x) return { fault: { column: columns.lon, ...x.fault } };
    const y = readCoordinate(latText);
    if ("fault" in y) return { fault: { column: columns.lat, ...y.fault } };
    const read = crs.geographic ? checkedDegrees : unprojected;
    const point = read(x.value, y.value, columns, crs);
    return area && "lon" in point ? placedIn(area, point, columns) : point;
  };
}

/** Degrees that lie where they are expected only when they are swapped are taken for swapped. */
function placedIn(area: Area, { lon, lat }: { lon: number; lat: number }, columns: PointColumns): ReadPoint {
  if (isWithin(area, lon, lat)) return { lon, lat, isOutside: false };
  if (!isWithin(area, lat, lon)) return { lon, lat, isOutside: true };
  const detail = `${lon}, ${lat} is not where the others are expected; longitude and latitude look swapped`;
  return refused(columns.lat, "swapped", detail, `if the columns are swapped it is ${lat}, ${lon}`);
}

function checkedDegrees(lon: number, lat: number, columns: PointColumns): ReadPoint {
  if (lon === 0 && lat === 0) {
    return refused(columns.lon, "zero_point", "is 0, 0, which stands for a point that is not known", "give the point");
  }
  if (Math.abs(lat) > MAX_LAT_DEG && Math.abs(lat) <= 180 && Math.abs(lon) <= MAX_LAT_DEG) {
    const suggestion = `if the columns are swapped it is ${lat}, ${lon}`;
    return refused(columns.lat, "swapped", `${lat} is no latitude; longitude and latitude look swapped`, suggestion);
  }
  if (Math.abs(lon) > 180) {
    return refused(
      columns.lon,
      "out_of_range",
      `${lon} is no longitude`,
      "degrees from -180 to 180, or name the system",
    );
  }
  if (Math.abs(lat) > MAX_LAT_DEG) {
    return refused(columns.lat, "out_of_range", `${lat} is out of range`, "degrees from -85 to 85, or name the system");
  }
  return { lon, lat, isOutside: false };
}

function unprojected(x: number, y: number, columns: PointColumns, crs: Crs): ReadPoint {
  const [lon, lat] = crs.unproject(x, y);
  if (Number.isFinite(lon) && Math.abs(lat) <= MAX_LAT_DEG) {
    return { lon: ((lon + 540) % 360) - 180, lat, isOutside: false };
  }
  const turned = crs.unproject(y, x);
  const suggestion = Number.isFinite(turned[0]) ? "x and y look swapped" : "check the system and its unit";
  return refused(columns.lon, "outside_system", `${x}, ${y} is outside the area of its system`, suggestion);
}

function refused(column: string, reason: string, detail: string, suggestion: string): ReadPoint {
  return { fault: { column, reason, detail, suggestion } };
}
