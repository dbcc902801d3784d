import type { Geodesic, LonLat } from "@fellmark/geodesy";
import type { Arrival } from "./arrival.ts";
import { type Ground, pathAlong, plainLine, stepsOver } from "./ground.ts";
import type { KitView } from "./kit-view.ts";
import { lowAlong } from "./low-ground.ts";
import type { MastPath } from "./mast-path.ts";
import { bullingtonDb, edgeNuOf, edgesOf, lossOf, type PathPoints, type PathSight } from "./path-sight.ts";
import { evenWeights } from "./path-weights.ts";
import { arrivalFrom, type MountedKit, sightFrom } from "./reception.ts";
import { type Route, routeOver } from "./route.ts";
import type { Station, StationMast } from "./station.ts";

/** Those who are too far to serve a place and may still disturb it. */
export interface FarField {
  at: LonLat;
  /** Ground at the place. */
  atAmslM: number;
  ground: Ground;
  stations: FarStation[];
  /** Greatest height of the kit that is ever asked about. */
  greatestHeightM: number;
  /** Most that each sender brings without the kit's pattern, mW, in the order of the stations; null: nobody asked. */
  freeMw: Float64Array | null;
  /** By the sector that the kit is aimed at: who may matter, whatever the height of the kit. */
  weighed: Map<number, Weighed>;
}

/** A far station. What is null is computed once it is asked for. */
export interface FarStation {
  station: Station;
  line: Geodesic;
  /** A first look at the path; and the edge that it shows from each mast, as edgeNuOf gives it. */
  look: PathPoints | null;
  edgeNu: Map<StationMast, number> | null;
  route: Route | null;
  /** How a mast and the kit that were last asked about see each other. */
  seen: { mast: StationMast; kit: MountedKit; sight: PathSight } | null;
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

export function farField(ground: Ground, at: LonLat, stations: FarStation[], greatestHeightM: number): FarField {
  const atAmslM = ground.mosaic.heightAmslM(at.lon, at.lat);
  return { at, atAmslM, ground, stations, greatestHeightM, freeMw: null, weighed: new Map() };
}

export function farStation(station: Station, line: Geodesic): FarStation {
  return { station, line, look: null, edgeNu: null, route: null, seen: null };
}

/**
 * Least loss of a path by what stands in the way, at any height of the kit, dB: it falls with every metre of that, and
 * rises with every further point of the path and every metre of ground.
 */
export function leastDiffractionDb(
  view: KitView,
  field: FarField,
  far: FarStation,
  { mast, frequencyGhz }: { mast: StationMast; frequencyGhz: number },
): number {
  far.look ??= lookTo(field, far);
  far.edgeNu ??= new Map();
  const { look, edgeNu } = far;
  let nu = edgeNu.get(mast);
  if (nu === undefined) {
    const heights = { mastM: mast.heightAglM, kitM: field.greatestHeightM };
    nu = edgeNuOf(look, edgesOf(look, heights, view.scene.effectiveEarthRadiusM));
    edgeNu.set(mast, nu);
  }
  return bullingtonDb(nu, far.line.distanceM, frequencyGhz);
}

/** What a far sender brings to a kit, over its own path. */
export function farArrival(
  view: KitView,
  field: FarField,
  far: FarStation,
  { mast, number, kit }: { mast: StationMast; number: number; kit: MountedKit },
): Arrival {
  far.route ??= routeOver(far.station, pathTo(view, field, far), false);
  const { route } = far;
  if (far.seen?.mast !== mast || far.seen.kit !== kit) {
    far.seen = { mast, kit, sight: sightFrom(view, route, mast, kit) };
  }
  const { sight } = far.seen;
  const loss = lossOf(sight, view.senders[number].frequencyGhz, view.scene.effectiveEarthRadiusM);
  return arrivalFrom(view, { route, sight, loss, number, kit });
}

/** Step of far paths over the terrain's own: they see ridges a little too low. */
const FAR_STEP_SHARE = 4;

/** Steps of a far path to one of its first look. */
const STEPS_TO_A_LOOK = 4;

/** Steps of a first look. */
function looksOver({ mosaic }: Ground, { distanceM }: Geodesic): number {
  return Math.max(2, Math.ceil(stepsOver(mosaic, distanceM, FAR_STEP_SHARE) / STEPS_TO_A_LOOK));
}

function pathTo({ request }: KitView, { at, ground }: FarField, { station, line }: FarStation): MastPath {
  return pathAlong(
    ground,
    request.model,
    plainLine(station.place, at, line),
    looksOver(ground, line) * STEPS_TO_A_LOOK,
  );
}

/** Some points of that path, and on each no more than the ground there. */
function lookTo({ at, atAmslM, ground }: FarField, { station, line }: FarStation): PathPoints {
  const steps = looksOver(ground, line);
  const heights = new Float64Array(steps + 1);
  const ends = { fromAmslM: station.groundAmslM, toAmslM: atAmslM };
  lowAlong(ground.low(), plainLine(station.place, at, line), ends, heights);
  const stepM = Math.max(1, line.distanceM) / steps;
  return { surfaceAmslM: heights, bareAmslM: heights, stepM, weights: evenWeights(steps) };
}
