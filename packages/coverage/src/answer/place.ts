import type { LonLat } from "@fellmark/geodesy";
import { type ClutterAround, endClutterDb, isStatistical, statisticalKitDb } from "../link/end-clutter.ts";
import { type Arrival, arrivalsOver, type KitClutter } from "./arrival.ts";
import type { FarField } from "./far-field.ts";
import type { KitView } from "./kit-view.ts";
import type { Route } from "./route.ts";

/** A place, before any height of the kit is chosen. */
export interface Place {
  /** Null for the end of a profile without coordinates. */
  at: LonLat | null;
  /** From every station within the service radius. */
  routes: Route[];
  /** Everybody else. */
  far: FarField;
  /** What stands around the kit, and whether that is known. */
  clutter: ClutterAround;
  isClutterKnown: boolean;
}

/** What the kit loses at a height by what stands around it; asked for the same few frequencies over and over. */
export function kitClutterAt({ request }: KitView, { clutter }: Place, kitHeightAglM: number): KitClutter {
  const { model } = request;
  if (isStatistical(model)) return (frequencyGhz, distanceM) => statisticalKitDb(model, distanceM, frequencyGhz);
  const known = new Map<number, number>();
  return (frequencyGhz) => {
    const lossDb = known.get(frequencyGhz) ?? endClutterDb(model, clutter, kitHeightAglM, frequencyGhz);
    known.set(frequencyGhz, lossDb);
    return lossDb;
  };
}

/** Everything that the routes of a place bring to a kit at a height. */
export function arrivalsAt(view: KitView, place: Place, kitHeightAglM: number): Arrival[] {
  const clutter = kitClutterAt(view, place, kitHeightAglM);
  return place.routes.flatMap((route) => arrivalsOver(view, route, kitHeightAglM, clutter));
}
