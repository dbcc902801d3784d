import {
  computeTargetMw,
  countSteps,
  type Ground,
  METRES_PER_DEG,
  POWER_CONTROL_RANGE_DB,
  walkPath,
} from "@fellmark/coverage";
import { findGeodesic, findGeodesicPoint, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, SubscriberSpec } from "@fellmark/network";
import { toMilliwatts, toRatio } from "@fellmark/units";
import type { Arrival } from "../reception/arrival.ts";
import { mountCpe } from "../reception/place.ts";
import { findClutterAround } from "../reception/place-at.ts";
import { createPlainLine } from "../reception/plain-line.ts";
import { findArrivals, type MountedCpe } from "../reception/reception.ts";
import { planRoute } from "../reception/route.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station } from "../scene/station.ts";

/** A subscriber taken for a sector: what it sends is turned down to what its own sector needs. */
export interface DrawnSender {
  at: LonLat;
  /** Number of its sector. */
  sector: number;
  /** Busy-hour demand, any unit. */
  weight: number;
  cpe: MountedCpe;
  /** Of its own sector, toward which the CPE is aimed. */
  own: Arrival;
  /** Power over the CPE's full one, linear. */
  control: number;
}

/**
 * Places tried around all sites together, and around one. With 64 around a site the mean level of a sector is known within
 * some 5 dB, with 512 within 2: few places bring most of it.
 */
const TRIED_IN_ALL = 20_000;
const FEWEST_TRIED = 64;
const MOST_TRIED = 512;

/** Subscribers that are taken of a sector that has its own. */
const MOST_KNOWN = 16;

/** The first subscribers of each sector that has its own, by its number. */
export type KnownSubscribers = ReadonlyMap<number, readonly SubscriberSpec[]>;

export function groupKnownSubscribers({ sectors, subscribers }: CoverageRequest): KnownSubscribers {
  const numberOf = new Map(sectors.map(({ id }, number) => [id, number]));
  const known = new Map<number, SubscriberSpec[]>();
  for (const subscriber of subscribers) {
    const number = numberOf.get(subscriber.sector) as number;
    const own = known.get(number) ?? [];
    known.set(number, own);
    if (own.length < MOST_KNOWN) own.push(subscriber);
  }
  return known;
}

/** Azimuths that follow each other by this angle never fall together: the places of a spiral spread evenly. */
const GOLDEN_ANGLE_DEG = 180 * (3 - Math.sqrt(5));

/**
 * The senders of a station's sectors: known subscribers, or places on a spiral over its service disc where one of its
 * sectors is the strongest. Nearer places lie closer together, and weigh less: each stands for its part of the area.
 */
export function drawSenders(
  view: CpeView,
  ground: Ground,
  station: Station,
  subscribers: KnownSubscribers,
): DrawnSender[] {
  const known = findKnownSenders(view, ground, station, subscribers);
  const hasKnown = new Set(known.map(({ sector }) => sector));
  const drawn: DrawnSender[] = [];
  const count = Math.min(MOST_TRIED, Math.max(FEWEST_TRIED, Math.floor(TRIED_IN_ALL / view.request.sites.length)));
  for (let tried = 0; tried < count; tried++) {
    const distanceM = (view.request.area.radiusM * (tried + 0.5)) / count;
    const at = findGeodesicPoint(station.place, tried * GOLDEN_ANGLE_DEG, distanceM);
    const [best] = sortByLevel(findReceived(view, ground, station, at));
    if (!best || hasKnown.has(best.sender.number) || !isStrongest(view, ground, best, at)) continue;
    drawn.push(createDrawnSender(view, ground, at, { own: best, weight: distanceM }));
  }
  return [...known, ...drawn];
}

function findKnownSenders(
  view: CpeView,
  ground: Ground,
  station: Station,
  subscribers: KnownSubscribers,
): DrawnSender[] {
  const { plans } = view.request;
  const numbers = station.masts.flatMap(({ senders }) => senders);
  return numbers.flatMap((number) =>
    (subscribers.get(number) ?? []).flatMap(({ plan, lon, lat }) => {
      const at = { lon, lat };
      const arrival = findReceived(view, ground, station, at).find(({ sender }) => sender.number === number);
      const weight = plans.find(({ id }) => id === plan)?.upMbps ?? 1;
      return arrival ? createDrawnSender(view, ground, at, { own: arrival, weight }) : [];
    }),
  );
}

/** Steps over the terrain's own: who is the strongest, and by how much, is to be known roughly. */
const ROUGH_STEP_SHARE = 8;

/** Power of a station at a place, where the path is known. */
function findReceived(view: CpeView, ground: Ground, station: Station, at: LonLat): Arrival[] {
  const line = findGeodesic(station.place, at);
  const steps = countSteps(ground.mosaic, line.distanceM, ROUGH_STEP_SHARE);
  const path = walkPath(ground, view.request, createPlainLine(station.place, at, line), steps);
  const route = planRoute(station, path, true);
  return route.isKnown ? findArrivals(view, route, mountCpeAtPlace(view, ground, at)) : [];
}

function mountCpeAtPlace(view: CpeView, ground: Ground, at: LonLat): MountedCpe {
  return mountCpe(view, findClutterAround(view, ground, at), view.request.cpe.heightAglM);
}

function sortByLevel(arrivals: readonly Arrival[]): Arrival[] {
  return arrivals.toSorted((a, b) => b.levelDbm[0] - a.levelDbm[0]);
}

/** True where no other station in service range is stronger; walked is only to one that could be over a free path. */
function isStrongest(view: CpeView, ground: Ground, own: Arrival, at: LonLat): boolean {
  const { radiusM } = view.request.area;
  const ownMw = toMilliwatts(own.levelDbm[0]);
  return view.scene.stations.every((station) => {
    const { site, place, masts } = station;
    const isOff = Math.abs(place.lat - at.lat) * METRES_PER_DEG > radiusM;
    if (isOff || site === null || site === own.route.station.site) return true;
    const { distanceM, azimuthDeg } = findGeodesic(place, at);
    if (distanceM > radiusM) return true;
    const mayBeStronger = masts.some(({ senders }) =>
      senders.some((number) => {
        const { freeMwAtKm, levelGain } = view.senders[number];
        return (freeMwAtKm * levelGain(azimuthDeg)) / (distanceM / 1000) ** 2 > ownMw;
      }),
    );
    return (
      !mayBeStronger || findReceived(view, ground, station, at).every(({ levelDbm }) => levelDbm[0] <= own.levelDbm[0])
    );
  });
}

function createDrawnSender(
  view: CpeView,
  ground: Ground,
  at: LonLat,
  { own, weight }: Pick<DrawnSender, "own" | "weight">,
): DrawnSender {
  const { number } = own.sender;
  const link = view.links[number];
  const fullMw = toMilliwatts(own.levelDbm[0] + link.up.baseDbm - link.down.baseDbm);
  const control = Math.min(1, Math.max(toRatio(-POWER_CONTROL_RANGE_DB), computeTargetMw(link) / fullMw));
  const cpe = mountCpeAtPlace(view, ground, at);
  return { at, sector: number, weight, cpe, own, control };
}
