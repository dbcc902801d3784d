import type { Warning } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import { type CoverageRequest, listShapes } from "@fellmark/network";
import { type AreaShapes, isInArea } from "@fellmark/tiers";

/** The shapes that bound a request's area beside the radius. */
export function toAreaShapes({ area }: CoverageRequest): AreaShapes {
  return { within: listShapes(area.within), exclude: listShapes(area.exclude) };
}

/** Says of a place that coverages leave it out. */
export function findPlaceWarnings(request: CoverageRequest, at: LonLat): Warning[] {
  if (isInArea(at, toAreaShapes(request))) return [];
  const detail =
    "this place lies outside the area of the request (area.within, area.exclude): coverages do not count it";
  return [{ code: "outside_area", pointer: "/area", detail }];
}

/** Says of a coverage that its figures stand for part of the radius. */
export function findAreaWarnings({ area }: CoverageRequest): Warning[] {
  const fields = (["within", "exclude"] as const).filter((field) => area[field] !== undefined);
  const detail = "figures, tiers, rasters and map count only cells that this field leaves in";
  return fields.map((field) => ({ code: "area_restricted", pointer: `/area/${field}`, detail }));
}
