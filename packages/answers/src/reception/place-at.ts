import {
  countFineSteps,
  findMountedHeightM,
  findStatedClutter,
  type Ground,
  isClutterStated,
  toRasterClutter,
  walkPath,
} from "@fellmark/coverage";
import { createGeodesicLine, findGeodesic, type LonLat } from "@fellmark/geodesy";
import { MAX_REACH_M } from "@fellmark/network";
import { createFarField, createFarStation, type FarStation } from "../interference/far-field.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station } from "../scene/station.ts";
import type { Place } from "./place.ts";
import { planRoute, type Route } from "./route.ts";

export interface PlaceReach {
  /** Greatest height of the CPE that is ever asked about. */
  greatestHeightM: number;
  /** Service range; absent: that of the request. */
  radiusM?: number | undefined;
}

/**
 * A place on the terrain: paths from all stations in service range, and who else is in reach.
 */
export function buildPlace(
  view: CpeView,
  ground: Ground,
  at: LonLat,
  { greatestHeightM, radiusM = view.scene.request.area.radiusM }: PlaceReach,
): Place {
  const { request } = view.scene;
  const routes: Route[] = [];
  const stations: FarStation[] = [];
  for (const station of view.scene.stations) {
    const line = findGeodesic(station.place, at);
    if (line.distanceM > MAX_REACH_M) continue;
    if (line.distanceM > radiusM) stations.push(createFarStation(station, line));
    else routes.push(routeInRange(view, ground, station, at));
  }
  const around = findClutterAround(view, ground, at);
  const greatestM = Math.max(greatestHeightM, findMountedHeightM(request.cpe, greatestHeightM, around.roofM));
  return { at, routes, far: createFarField(ground, at, stations, greatestM), ...around };
}

/** The path from a station that may serve a place. */
function routeInRange({ request }: CpeView, ground: Ground, station: Station, at: LonLat): Route {
  const line = createGeodesicLine(station.place, at);
  const steps = countFineSteps(ground, request.model, line.distanceM);
  return planRoute(station, walkPath(ground, request, line, steps), true);
}

/** Clutter around a CPE at a place. */
export function findClutterAround(
  { request: { model } }: CpeView,
  { clutter }: Ground,
  { lon, lat }: LonLat,
): Pick<Place, "clutter" | "isClutterKnown" | "roofM"> {
  if (clutter === null)
    return { clutter: findStatedClutter(model).cpe, isClutterKnown: isClutterStated(model), roofM: 0 };
  const found = clutter.findClutter(lon, lat);
  const isBuilding = found.isMeasured && found.kind !== "trees" && model.method !== "end-clutter";
  return {
    clutter: toRasterClutter(found),
    isClutterKnown: found.kind !== "unknown",
    roofM: isBuilding ? found.heightM : 0,
  };
}
