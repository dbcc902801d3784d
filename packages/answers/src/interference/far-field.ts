import { countSteps, type Ground, type MastPath, sampleLowGround, walkPath } from "@fellmark/coverage";
import type { Geodesic, LonLat } from "@fellmark/geodesy";
import {
  computeBullingtonLossDb,
  computeEdgeNu,
  createEvenWeights,
  findPathEdges,
  type PathSight,
} from "@fellmark/propagation";
import type { Arrival } from "../reception/arrival.ts";
import { createPlainLine } from "../reception/plain-line.ts";
import { computeLoss, findArrival, findSight, type MountedCpe } from "../reception/reception.ts";
import { planRoute, type Route } from "../reception/route.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station, StationMast } from "../scene/station.ts";

/** Those who are too far to serve a place and may still disturb it. */
export interface FarField {
  at: LonLat;
  /** Ground at the place. */
  atAmslM: number;
  ground: Ground;
  stations: FarStation[];
  /** Greatest height of the CPE that is ever asked about. */
  greatestHeightM: number;
  /** Most that each sender brings without the CPE's pattern, mW, in the order of the stations; null: nobody asked. */
  freeMw: Float64Array | null;
  /** By the sector that the CPE is aimed at: who may matter, whatever the height of the CPE. */
  weighed: Map<number, Weighed>;
}

/** A far station. What is null is computed once it is asked for. */
export interface FarStation {
  station: Station;
  line: Geodesic;
  /** The edge that a first look at the path shows from each mast of the station, as computeEdgeNu gives it. */
  edgeNu: number[] | null;
  route: Route | null;
  /** Sight between the mast and the CPE that were last asked about. */
  seen: { mast: StationMast; cpe: MountedCpe; sight: PathSight<MastPath> } | null;
}

/** Senders that may matter, the strongest upper bound first, and the upper bound of all others together. */
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

export function createFarField(ground: Ground, at: LonLat, stations: FarStation[], greatestHeightM: number): FarField {
  const atAmslM = ground.mosaic.findHeightAmslM(at.lon, at.lat);
  return { at, atAmslM, ground, stations, greatestHeightM, freeMw: null, weighed: new Map() };
}

export function createFarStation(station: Station, line: Geodesic): FarStation {
  return { station, line, edgeNu: null, route: null, seen: null };
}

/**
 * Least loss of a path by what stands in the way, at any height of the CPE, dB: it falls with every metre of that, and
 * rises with every further point of the path and every metre of ground.
 */
export function boundDiffractionDb(
  view: CpeView,
  field: FarField,
  far: FarStation,
  { mast, frequencyGhz }: { mast: StationMast; frequencyGhz: number },
): number {
  // The complete P.1812 takes the ways around an obstacle too, which this bound does not know.
  if (view.request.model.method === "p1812") return 0;
  far.edgeNu ??= findEdges(view, field, far);
  return computeBullingtonLossDb(far.edgeNu[far.station.masts.indexOf(mast)], far.line.distanceM, frequencyGhz);
}

/** Power of a far sender at a CPE, over its own path. */
export function findFarArrival(
  view: CpeView,
  field: FarField,
  far: FarStation,
  { mast, number, cpe }: { mast: StationMast; number: number; cpe: MountedCpe },
): Arrival {
  far.route ??= planRoute(far.station, walkFarPath(view, field, far), false);
  const { route } = far;
  if (far.seen?.mast !== mast || far.seen.cpe !== cpe) {
    far.seen = { mast, cpe, sight: findSight(view, route, mast, cpe) };
  }
  const { sight } = far.seen;
  const loss = computeLoss(view, { sight, mast, cpe }, view.senders[number].frequencyGhz);
  return findArrival(view, { route, sight, loss, number, cpe });
}

/** Step of far paths over the terrain's own: they see ridges a little too low. */
const FAR_STEP_SHARE = 4;

/** Steps of a far path to one of its first look. */
const STEPS_TO_A_LOOK = 4;

/** Steps of a first look. */
function countLooks({ mosaic }: Ground, { distanceM }: Geodesic): number {
  return Math.max(2, Math.ceil(countSteps(mosaic, distanceM, FAR_STEP_SHARE) / STEPS_TO_A_LOOK));
}

function walkFarPath({ request }: CpeView, { at, ground }: FarField, { station, line }: FarStation): MastPath {
  return walkPath(
    ground,
    request,
    createPlainLine(station.place, at, line),
    countLooks(ground, line) * STEPS_TO_A_LOOK,
  );
}

/** Heights of the path that is looked at: it is gone when the next one is. */
let looked = new Float64Array(0);

/** The edges of some points of that path, on each of which stands no more than the ground there. */
function findEdges({ scene }: CpeView, field: FarField, { station, line }: FarStation): number[] {
  const { at, atAmslM, ground, greatestHeightM } = field;
  const steps = countLooks(ground, line);
  if (looked.length <= steps) looked = new Float64Array(2 * steps);
  const heights = looked.subarray(0, steps + 1);
  const ends = { fromAmslM: station.groundAmslM, toAmslM: atAmslM };
  sampleLowGround(ground.low(), createPlainLine(station.place, at, line), ends, heights);
  const stepM = Math.max(1, line.distanceM) / steps;
  const points = { surfaceAmslM: heights, bareAmslM: heights, stepM, weights: createEvenWeights(steps) };
  return station.masts.map(({ heightAglM }) => {
    const edges = findPathEdges(
      points,
      { txHeightAglM: heightAglM, rxHeightAglM: greatestHeightM },
      scene.effectiveEarthRadiusM,
    );
    return computeEdgeNu(points, edges);
  });
}
