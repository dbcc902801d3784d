import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import { type ClutterAround, isClutterStated, rasterClutter, statedClutter } from "../link/end-clutter.ts";
import { MAX_REACH_M } from "../mast.ts";
import { type FarStation, farStationOf } from "./far-field.ts";
import { pathOverGround } from "./ground.ts";
import type { KitView } from "./kit-view.ts";
import type { Place } from "./place.ts";
import { type Route, routeOver } from "./route.ts";
import type { SceneTerrain } from "./scene.ts";

/** Steps of a path over the terrain's own: near ones miss nothing, far ones see ridges a little too low. */
const NEAR_STEP_SHARE = 0.5;
const FAR_STEP_SHARE = 4;

/** A place on the terrain: paths from all stations in service range, and who else is in reach. */
export function placeAt(view: KitView, terrain: SceneTerrain, at: LonLat): Place {
  const { request, stations } = view.scene;
  const { ground } = terrain;
  const { radiusM } = request.area;
  const routes: Route[] = [];
  const far: FarStation[] = [];
  for (const station of stations) {
    const line = geodesicBetween(station.place, at);
    if (line.distanceM > MAX_REACH_M) continue;
    if (line.distanceM > radiusM) far.push(farStationOf(view, station, line));
    else routes.push(routeOver(station, pathOverGround(ground, station.place, at, NEAR_STEP_SHARE), true));
  }
  return {
    at,
    routes,
    far: {
      stations: far,
      walk: (station) => routeOver(station, pathOverGround(ground, station.place, at, FAR_STEP_SHARE), false),
    },
    ...clutterAt(view, terrain, at),
  };
}

function clutterAt(
  { request: { model } }: KitView,
  { ground }: SceneTerrain,
  { lon, lat }: LonLat,
): Pick<Place, "clutter" | "isClutterKnown"> {
  if (ground.clutter === null) return { clutter: statedClutter(model).kit, isClutterKnown: isClutterStated(model) };
  const found: ClutterAround = ground.clutter.at(lon, lat);
  return { clutter: rasterClutter(found), isClutterKnown: found.kind !== "unknown" };
}
