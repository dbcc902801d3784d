import { toAntennaFrame } from "@fellmark/antenna";
import type { Geodesic } from "@fellmark/geodesy";
import { freeSpaceLossDb } from "@fellmark/propagation";
import { milliwattsFromDbm, ratioFromDb } from "@fellmark/units";
import { type Arrival, arrivalsOver, type KitClutter } from "./arrival.ts";
import {
  type Aim,
  addInterference,
  gainOffAim,
  type Interference,
  interferenceMw,
  perGainAtAim,
} from "./interference.ts";
import type { KitView } from "./kit-view.ts";
import type { Route } from "./route.ts";
import { greatestScattered } from "./sender.ts";
import type { Station } from "./station.ts";

/** Those who are too far to serve a place and may still disturb it. */
export interface FarField {
  stations: FarStation[];
  /** Walks the path from a station, with longer steps than those from near ones. */
  walk(station: Station): Route;
}

/** A far station: its path is walked only once somebody asks. */
export interface FarStation {
  station: Station;
  line: Geodesic;
  /** Levels of its senders over a free and level path, mW, before the kit's pattern: none of them brings more. */
  freeMw: number[];
  route: Route | null;
  /** What was last computed, and for a kit in which clutter: each height has its own. */
  arrivals: Arrival[];
  clutter: KitClutter | null;
}

export const NOBODY_FAR: FarField = {
  stations: [],
  walk: () => {
    throw new TypeError("nobody stands far off");
  },
};

export function farStationOf(view: KitView, station: Station, line: Geodesic): FarStation {
  const senders = station.masts.flatMap((mast) => mast.senders);
  const freeMw = senders.map((number) => freeLevelMw(view, number, line));
  return { station, line, freeMw, route: null, arrivals: [], clutter: null };
}

function freeLevelMw(view: KitView, number: number, { distanceM, azimuthDeg }: Geodesic): number {
  const { gainDbi, pointing, scattered, baseDbm, frequencyGhz, gasDbPerKm } = view.senders[number];
  const seen = toAntennaFrame(azimuthDeg, 0, pointing);
  const gains = view.ports.map((port) => ratioFromDb(gainDbi(seen.azimuthDeg, seen.elevationDeg, port)));
  const lossDb = freeSpaceLossDb(Math.max(1, distanceM), frequencyGhz) + (gasDbPerKm * distanceM) / 1000;
  return milliwattsFromDbm(baseDbm - lossDb) * (Math.max(...gains) + greatestScattered(scattered));
}

/**
 * What all far stations left out may bring together, as a share of the noise and interference that is counted: 0.1 dB.
 * They are weighed as if their paths were free, so in truth it is far less.
 */
const LEFT_OUT_SHARE = 10 ** 0.01 - 1;

/** Far stations are looked at from the one that may bring most, until what is left cannot matter. */
export function addFarInterference(
  view: KitView,
  aim: Aim,
  far: FarField,
  sums: readonly Interference[],
  at: { heightAglM: number; noiseMw: number; clutter: KitClutter },
): void {
  const waiting = far.stations
    .map((each) => ({ each, mostMw: mostMw(view, aim, each) }))
    .filter(({ mostMw }) => mostMw > 0)
    .sort((a, b) => b.mostMw - a.mostMw);
  let leftMw = waiting.reduce((sum, { mostMw }) => sum + mostMw, 0);
  for (const { each, mostMw } of waiting) {
    if (leftMw <= LEFT_OUT_SHARE * (at.noiseMw + Math.min(...sums.map(interferenceMw)))) return;
    leftMw -= mostMw;
    addInterference(view, aim, arrivalsFrom(view, far, each, at.heightAglM, at.clutter), sums);
  }
}

/** Most that a station brings to a kit with an aim, mW. */
function mostMw(view: KitView, { wanted, overlap }: Aim, { station, line, freeMw }: FarStation): number {
  const senders = station.masts.flatMap((mast) => mast.senders);
  const sentMw = senders.reduce((sum, number, index) => {
    return sum + freeMw[index] * overlap.shareDown[number] * overlap.baseOnDown[number];
  }, 0);
  if (sentMw === 0) return 0;
  const gains = view.ports.map((port) => gainOffAim(view, wanted, line.backAzimuthDeg, 0, port));
  return sentMw * (Math.max(...gains) + greatestScattered(view.scattered)) * perGainAtAim(view);
}

function arrivalsFrom(
  view: KitView,
  far: FarField,
  each: FarStation,
  heightAglM: number,
  clutter: KitClutter,
): readonly Arrival[] {
  each.route ??= far.walk(each.station);
  if (each.clutter !== clutter) {
    each.arrivals = arrivalsOver(view, each.route, heightAglM, clutter);
    each.clutter = clutter;
  }
  return each.arrivals;
}
