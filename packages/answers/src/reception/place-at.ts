import {
  fineStepsOver,
  type Ground,
  isClutterStated,
  MAX_REACH_M,
  mountedHeightM,
  pathAlong,
  rasterClutter,
  statedClutter,
} from "@fellmark/coverage";
import { createGeodesicLine, findGeodesic, type LonLat } from "@fellmark/geodesy";
import { type FarStation, farField, farStation } from "../interference/far-field.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station } from "../scene/station.ts";
import type { Place } from "./place.ts";
import { type Route, routeOver } from "./route.ts";

/**
 * A place on the terrain: paths from all stations in service range, and who else is in reach.
 * @param greatestHeightM of the CPE that is ever asked about.
 */
export function placeAt(view: CpeView, ground: Ground, at: LonLat, greatestHeightM: number): Place {
  const { request } = view.scene;
  const routes: Route[] = [];
  const stations: FarStation[] = [];
  for (const station of view.scene.stations) {
    const line = findGeodesic(station.place, at);
    if (line.distanceM > MAX_REACH_M) continue;
    if (line.distanceM > request.area.radiusM) stations.push(farStation(station, line));
    else routes.push(routeInRange(view, ground, station, at));
  }
  const around = clutterAt(view, ground, at);
  const greatestM = Math.max(greatestHeightM, mountedHeightM(request.cpe, greatestHeightM, around.roofM));
  return { at, routes, far: farField(ground, at, stations, greatestM), ...around };
}

/** The path from a station that may serve a place. */
function routeInRange({ request }: CpeView, ground: Ground, station: Station, at: LonLat): Route {
  const line = createGeodesicLine(station.place, at);
  const steps = fineStepsOver(ground, request.model, line.distanceM);
  return routeOver(station, pathAlong(ground, request, line, steps), true);
}

/** What stands around a CPE at a place. */
export function clutterAt(
  { request: { model } }: CpeView,
  { clutter }: Ground,
  { lon, lat }: LonLat,
): Pick<Place, "clutter" | "isClutterKnown" | "roofM"> {
  if (clutter === null) return { clutter: statedClutter(model).cpe, isClutterKnown: isClutterStated(model), roofM: 0 };
  const found = clutter.findClutter(lon, lat);
  const isBuilding = found.isMeasured && found.kind !== "trees" && model.method === "path-clutter";
  return {
    clutter: rasterClutter(found),
    isClutterKnown: found.kind !== "unknown",
    roofM: isBuilding ? found.heightM : 0,
  };
}
