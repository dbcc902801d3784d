import { type Crs, findCrs } from "@fellmark/geodesy";
import { type Area, isWithin } from "./area.ts";
import { type NumberForm, readCoordinate } from "./coordinate.ts";
import type { RowFault } from "./rejection.ts";

/** Largest latitude of the lattice. */
const MAX_LAT_DEG = 85;

const WGS84_EPSG = 4326;

export interface PointColumns {
  lon: string;
  lat: string;
}

/** A point, with a flag if it lies outside the expected area; or its fault. */
export type ReadPoint = { lon: number; lat: number; isOutside: boolean } | { fault: RowFault };

export interface PointOptions {
  /** EPSG code of the system of the cells; default: degrees on WGS84. */
  crs?: number | undefined;
  /** Expected area of the points; without it, swapped degrees are noticed only where they are out of range. */
  area?: Area | undefined;
  /** True: commas in cells are decimal commas. */
  hasDecimalCommas?: boolean | undefined;
}

/**
 * Returns a reader of points: from two cells to degrees on WGS84. It repairs nothing: a point that looks swapped is
 * refused with the swapped value.
 * Throws FellmarkError 'crs_not_supported' for one that is not in the list.
 */
export function createPointReader(
  columns: PointColumns,
  { crs: epsg = WGS84_EPSG, area, hasDecimalCommas = false }: PointOptions = {},
): (lonText: string, latText: string) => ReadPoint {
  const crs = findCrs(epsg);
  const toForm = (axis: "lon" | "lat"): NumberForm => ({ hasDecimalCommas, ...(crs.geographic && { axis }) });
  const [lonForm, latForm] = [toForm("lon"), toForm("lat")];
  return (lonText, latText) => {
    const x = readCoordinate(lonText, lonForm);
    if ("fault" in x) return { fault: { column: columns.lon, ...x.fault } };
    const y = readCoordinate(latText, latForm);
    if ("fault" in y) return { fault: { column: columns.lat, ...y.fault } };
    const read = crs.geographic ? checkDegrees : unprojectPoint;
    const point = read(x.value, y.value, columns, crs);
    return area && "lon" in point ? placeInArea(area, point, columns) : point;
  };
}

/** Refuses degrees as swapped if they lie in the expected area only when swapped. */
function placeInArea(area: Area, { lon, lat }: { lon: number; lat: number }, columns: PointColumns): ReadPoint {
  if (isWithin(area, lon, lat)) return { lon, lat, isOutside: false };
  if (!isWithin(area, lat, lon)) return { lon, lat, isOutside: true };
  const detail = `${lon}, ${lat} is not where the others are expected; longitude and latitude look swapped`;
  return refusePoint(columns.lat, "swapped", detail, `if the columns are swapped it is ${lat}, ${lon}`);
}

function checkDegrees(lon: number, lat: number, columns: PointColumns): ReadPoint {
  if (lon === 0 && lat === 0) {
    return refusePoint(
      columns.lon,
      "zero_point",
      "is 0, 0, which stands for a point that is not known",
      "give the point",
    );
  }
  if (Math.abs(lat) > MAX_LAT_DEG && Math.abs(lat) <= 180 && Math.abs(lon) <= MAX_LAT_DEG) {
    const suggestion = `if the columns are swapped it is ${lat}, ${lon}`;
    return refusePoint(
      columns.lat,
      "swapped",
      `${lat} is not a latitude; longitude and latitude look swapped`,
      suggestion,
    );
  }
  if (Math.abs(lon) > 180) {
    return refusePoint(
      columns.lon,
      "out_of_range",
      `${lon} is not a longitude`,
      "degrees from -180 to 180, or name the system",
    );
  }
  if (Math.abs(lat) > MAX_LAT_DEG) {
    return refusePoint(
      columns.lat,
      "out_of_range",
      `${lat} is out of range`,
      "degrees from -85 to 85, or name the system",
    );
  }
  return { lon, lat, isOutside: false };
}

function unprojectPoint(x: number, y: number, columns: PointColumns, crs: Crs): ReadPoint {
  const [lon, lat] = crs.unproject(x, y);
  if (Number.isFinite(lon) && Math.abs(lat) <= MAX_LAT_DEG) {
    return { lon: ((lon + 540) % 360) - 180, lat, isOutside: false };
  }
  const turned = crs.unproject(y, x);
  const suggestion = Number.isFinite(turned[0]) ? "x and y look swapped" : "check the system and its unit";
  return refusePoint(columns.lon, "outside_system", `${x}, ${y} is outside the area of its system`, suggestion);
}

function refusePoint(column: string, reason: string, detail: string, suggestion: string): ReadPoint {
  return { fault: { column, reason, detail, suggestion } };
}
