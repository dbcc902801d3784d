import {
  FINE_STEP_SHARE,
  type Ground,
  isClutterStated,
  MAX_REACH_M,
  pathAlong,
  rasterClutter,
  statedClutter,
  stepsOver,
} from "@fellmark/coverage";
import { geodesicBetween, geodesicLine, type LonLat } from "@fellmark/geodesy";
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
    const line = geodesicBetween(station.place, at);
    if (line.distanceM > MAX_REACH_M) continue;
    if (line.distanceM > request.area.radiusM) stations.push(farStation(station, line));
    else routes.push(routeInRange(view, ground, station, at));
  }
  return {
    at,
    routes,
    far: farField(ground, at, stations, greatestHeightM),
    ...clutterAt(view, ground, at),
  };
}

/** The path from a station that may serve a place. */
function routeInRange({ request }: CpeView, ground: Ground, station: Station, at: LonLat): Route {
  const line = geodesicLine(station.place, at);
  const steps = stepsOver(ground.mosaic, line.distanceM, FINE_STEP_SHARE);
  return routeOver(station, pathAlong(ground, request.model, line, steps), true);
}

/** What stands around a CPE at a place. */
export function clutterAt(
  { request: { model } }: CpeView,
  { clutter }: Ground,
  { lon, lat }: LonLat,
): Pick<Place, "clutter" | "isClutterKnown"> {
  if (clutter === null) return { clutter: statedClutter(model).cpe, isClutterKnown: isClutterStated(model) };
  const found = clutter.at(lon, lat);
  return { clutter: rasterClutter(found), isClutterKnown: found.kind !== "unknown" };
}
