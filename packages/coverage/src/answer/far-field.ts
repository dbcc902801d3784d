import type { Geodesic, LonLat } from "@fellmark/geodesy";
import { type Ground, pathAlong, plainLine, stepsOver } from "./ground.ts";
import type { KitView } from "./kit-view.ts";
import type { MastPath } from "./mast-path.ts";
import { bullingtonDb, type PathSight, sightOf } from "./path-sight.ts";
import { type MountedKit, type Reception, receptionOver } from "./reception.ts";
import { type Route, routeOver } from "./route.ts";
import type { Station, StationMast } from "./station.ts";

/** Those who are too far to serve a place and may still disturb it. */
export interface FarField {
  at: LonLat;
  ground: Ground;
  stations: FarStation[];
  /** Greatest height of the kit that is ever asked about. */
  greatestHeightM: number;
  /** By the sector that the kit is aimed at: who may matter, whatever the height of the kit. */
  weighed: Map<number, Weighed>;
}

/** A far station. What is null is computed once it is asked for. */
export interface FarStation {
  station: Station;
  line: Geodesic;
  /** A first look at the path, and how it is seen from a mast by the highest kit. */
  look: MastPath | null;
  sights: Map<StationMast, PathSight> | null;
  route: Route | null;
  /** By the kit that was last asked about. */
  reception: Reception | null;
}

/** Who may matter, the one that may bring most first, and what all the others bring together at most. */
export interface Weighed {
  waiting: Waiting[];
  faintMw: number;
}

export interface Waiting {
  far: FarStation;
  mast: StationMast;
  sender: number;
  mostMw: number;
}

export function farStation(station: Station, line: Geodesic): FarStation {
  return { station, line, look: null, sights: null, route: null, reception: null };
}

/**
 * Least loss of a path by what stands in the way, at any height of the kit, dB: it falls with every metre, and rises with
 * every further point of the path.
 */
export function leastDiffractionDb(
  view: KitView,
  field: FarField,
  far: FarStation,
  { mast, frequencyGhz }: { mast: StationMast; frequencyGhz: number },
): number {
  far.look ??= pathTo(view, field, far, 1);
  if (far.look.notKnownShare > 0) return 0;
  far.sights ??= new Map();
  const heights = { mastM: mast.heightAglM, kitM: field.greatestHeightM };
  const sight = far.sights.get(mast) ?? sightOf(far.look, heights, view.scene.effectiveEarthRadiusM);
  far.sights.set(mast, sight);
  return bullingtonDb(sight, frequencyGhz);
}

export function farReception(view: KitView, field: FarField, far: FarStation, kit: MountedKit): Reception {
  far.route ??= routeOver(far.station, pathTo(view, field, far, STEPS_TO_A_LOOK), false);
  if (far.reception?.kit === kit) return far.reception;
  far.reception = receptionOver(view, far.route, kit);
  return far.reception;
}

/** Step of far paths over the terrain's own: they see ridges a little too low. */
const FAR_STEP_SHARE = 4;

/** Steps of a far path to one of its first look. */
const STEPS_TO_A_LOOK = 8;

/** The path with so many steps to each of its first look, whose points it holds all. */
function pathTo({ request }: KitView, { at, ground }: FarField, far: FarStation, stepsToALook: number): MastPath {
  const { station, line } = far;
  const looks = Math.max(2, Math.ceil(stepsOver(ground.mosaic, line.distanceM, FAR_STEP_SHARE) / STEPS_TO_A_LOOK));
  return pathAlong(ground, request.model, plainLine(station.place, at, line), looks * stepsToALook);
}
