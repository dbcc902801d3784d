import { type Geodesic, type GeodesicLine, geodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { ModelSpec } from "@fellmark/network";
import { freeSpaceLossDb } from "@fellmark/propagation";
import { milliwattsFromDbm } from "@fellmark/units";
import { pathCorrectionDb } from "../link/correction.ts";
import { type Ground, pathAlong, stepsOver } from "./ground.ts";
import type { KitView } from "./kit-view.ts";
import type { MastPath } from "./mast-path.ts";
import { bullingtonDb, type PathSight, sightOf } from "./path-sight.ts";
import { type MountedKit, type Reception, receptionOver } from "./reception.ts";
import { routeOver } from "./route.ts";
import type { Station, StationMast } from "./station.ts";

/** A station that is too far to serve a place and may still disturb it. Nothing of its path is read before it is asked. */
export interface FarStation {
  station: Station;
  line: Geodesic;
  senders: FarSender[];
  /** Least loss of a path from a mast to the kit by what stands in the way, dB. */
  leastDiffractionDb(mast: StationMast, kit: MountedKit, frequencyGhz: number): number;
  reception(kit: MountedKit): Reception;
}

export interface FarSender {
  number: number;
  mast: StationMast;
  /** Its level over a free and level path, mW, before the kit's pattern: it brings no more. */
  freeMw: number;
}

/** Step of far paths over the terrain's own: they see ridges a little too low. */
const FAR_STEP_SHARE = 4;

/** Steps of a far path to one of its first look. */
const STEPS_TO_A_LOOK = 8;

/** Who stands where, and what is between. */
export interface FarEnds {
  ground: Ground;
  model: ModelSpec;
  station: Station;
  at: LonLat;
  line: Geodesic;
}

export function farStationOf(view: KitView, ends: FarEnds): FarStation {
  const { station, line } = ends;
  const paths = farPaths(ends);
  const look = once(() => paths(1));
  const sights = new Map<StationMast, { kit: MountedKit; sight: PathSight }>();
  const route = once(() => routeOver(station, paths(STEPS_TO_A_LOOK), false));
  let received: Reception | null = null;
  return {
    station,
    line,
    senders: station.masts.flatMap((mast) =>
      mast.senders.map((number) => ({ number, mast, freeMw: freeLevelMw(view, number, line) })),
    ),
    leastDiffractionDb(mast, kit, frequencyGhz) {
      if (look().notKnownShare > 0) return 0;
      let seen = sights.get(mast);
      if (seen?.kit !== kit) {
        const heights = { mastM: mast.heightAglM, kitM: kit.heightAglM };
        seen = { kit, sight: sightOf(look(), heights, view.scene.effectiveEarthRadiusM) };
        sights.set(mast, seen);
      }
      return bullingtonDb(seen.sight, frequencyGhz);
    },
    reception(kit) {
      if (received?.kit !== kit) received = receptionOver(view, route(), kit);
      return received;
    },
  };
}

/** The path with so many steps to each of its first look, whose points it then holds. */
function farPaths({ ground, model, station, at, line }: FarEnds): (stepsToALook: number) => MastPath {
  const looks = Math.ceil(stepsOver(ground, line.distanceM, FAR_STEP_SHARE) / STEPS_TO_A_LOOK);
  const nodes = once(() => plainLine(station.place, at, line));
  return (stepsToALook) => pathAlong(ground, model, nodes(), Math.max(2, looks) * stepsToALook);
}

/**
 * A line by its ends and middle alone. Source: see geodesicLine, of which it is one long stretch: the parabola through
 * its nodes lies within 6 m of the geodesic over 80 km, a fraction of a far path's step.
 */
function plainLine(from: LonLat, to: LonLat, line: Geodesic): GeodesicLine {
  const middle = geodesicPoint(from, line.azimuthDeg, line.distanceM / 2);
  const end = to.lon + 360 * Math.round((from.lon - to.lon) / 360);
  return {
    ...line,
    nodeLon: Float64Array.of(from.lon, middle.lon, end),
    nodeLat: Float64Array.of(from.lat, middle.lat, to.lat),
  };
}

function freeLevelMw(view: KitView, number: number, { distanceM, azimuthDeg }: Geodesic): number {
  const { baseDbm, frequencyGhz, gasDbPerKm, levelGain } = view.senders[number];
  const airDb = freeSpaceLossDb(Math.max(1, distanceM), frequencyGhz) + (gasDbPerKm * distanceM) / 1000;
  const lossDb = airDb + leastCorrectionDb(view.request.model, distanceM);
  return milliwattsFromDbm(baseDbm - lossDb) * levelGain(azimuthDeg);
}

/** Own links may have taught that paths of some class lose less. */
function leastCorrectionDb(model: ModelSpec, distanceM: number): number {
  if (model.correction === null) return 0;
  return Math.min(0, ...PATH_CLASSES.map((sight) => pathCorrectionDb(model, sight, distanceM)));
}

const PATH_CLASSES = ["clear", "grazing", "blocked"] as const;

function once<Value>(compute: () => Value): () => Value {
  let known: { value: Value } | undefined;
  return () => {
    known ??= { value: compute() };
    return known.value;
  };
}
