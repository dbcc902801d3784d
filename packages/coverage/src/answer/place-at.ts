import { geodesicBetween, geodesicLine, type LonLat } from "@fellmark/geodesy";
import { isClutterStated, rasterClutter, statedClutter } from "../link/end-clutter.ts";
import { MAX_REACH_M } from "../mast.ts";
import { type FarStation, farStation } from "./far-field.ts";
import { pathAlong, stepsOver } from "./ground.ts";
import type { KitView } from "./kit-view.ts";
import type { Place } from "./place.ts";
import { type Route, routeOver } from "./route.ts";
import type { SceneTerrain } from "./scene.ts";
import type { Station } from "./station.ts";

/** Half of the terrain's own step misses nothing that its rasters hold. */
const NEAR_STEP_SHARE = 0.5;

/**
 * A place on the terrain: paths from all stations in service range, and who else is in reach.
 * @param greatestHeightM of the kit that is ever asked about.
 */
export function placeAt(view: KitView, terrain: SceneTerrain, at: LonLat, greatestHeightM: number): Place {
  const { request } = view.scene;
  const { ground } = terrain;
  const { model, area } = request;
  const routes: Route[] = [];
  const stations: FarStation[] = [];
  const routeFrom = (station: Station): Route => {
    const line = geodesicLine(station.place, at);
    const steps = stepsOver(ground, line.distanceM, NEAR_STEP_SHARE);
    return routeOver(station, pathAlong(ground, model, line, steps), true);
  };
  for (const station of view.scene.stations) {
    const line = geodesicBetween(station.place, at);
    if (line.distanceM > MAX_REACH_M) continue;
    if (line.distanceM <= area.radiusM) routes.push(routeFrom(station));
    else stations.push(farStation(station, line));
  }
  return {
    at,
    routes,
    far: { at, ground, stations, greatestHeightM, weighed: new Map() },
    ...clutterAt(view, terrain, at),
  };
}

function clutterAt(
  { request: { model } }: KitView,
  { ground }: SceneTerrain,
  { lon, lat }: LonLat,
): Pick<Place, "clutter" | "isClutterKnown"> {
  if (ground.clutter === null) return { clutter: statedClutter(model).kit, isClutterKnown: isClutterStated(model) };
  const found = ground.clutter.at(lon, lat);
  return { clutter: rasterClutter(found), isClutterKnown: found.kind !== "unknown" };
}
