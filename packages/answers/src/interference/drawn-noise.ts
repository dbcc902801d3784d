import {
  combineNoise,
  countFineSteps,
  type Ground,
  meanLevelMw,
  type SectorNoise,
  type UplinkSender,
  walkPath,
} from "@fellmark/coverage";
import { createGeodesicLine, findGeodesic, type LonLat } from "@fellmark/geodesy";
import { MAX_REACH_M } from "@fellmark/network";
import { toMilliwatts, toRatio } from "@fellmark/units";
import { rememberResults } from "../scene/cpe-view.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Station, StationMast } from "../scene/station.ts";
import { type DrawnSender, drawSenders, groupKnownSubscribers } from "./drawn-senders.ts";
import {
  boundDiffractionDb,
  createFarField,
  createFarStation,
  type FarField,
  type FarStation,
  findFarArrival,
} from "./far-field.ts";
import { boundGainToward, findDiscrimination } from "./interference.ts";

/**
 * Noise of the sectors of a network that is too large to sweep from every mast: subscribers are drawn for every sector
 * and their paths to the others walked one by one, as interferers of a CPE are. Computed once a station, when asked for.
 */
export function createDrawnNoise(view: CpeView, ground: Ground): (victim: number) => SectorNoise {
  const { stations } = view.scene;
  const stationOf = new Map<number, number>();
  stations.forEach(({ masts }, index) => {
    for (const { senders } of masts) for (const sender of senders) stationOf.set(sender, index);
  });
  const subscribers = groupKnownSubscribers(view.request);
  const sendersAt = rememberResults((station) =>
    stations[station].site === null ? [] : drawSenders(view, ground, stations[station], subscribers),
  );
  const ofStation = rememberResults((index) => {
    const inReach = stations.flatMap(({ place }, other) => {
      const apartM = findGeodesic(place, stations[index].place).distanceM;
      return apartM <= MAX_REACH_M ? sendersAt(other) : [];
    });
    return computeStationNoise(view, ground, stations[index], inReach);
  });
  return (victim) => ofStation(stationOf.get(victim) as number).get(victim) as SectorNoise;
}

function computeStationNoise(
  view: CpeView,
  ground: Ground,
  station: Station,
  senders: readonly DrawnSender[],
): Map<number, SectorNoise> {
  const { request, links, scene } = view;
  const heard = senders.map((sender) => computeLevels(view, ground, station, sender));
  const mastScene = { request, links, patterns: scene.patterns };
  const pathFrom = (from: LonLat) => findMastPath(view, ground, from, station.place);
  const victims = station.masts.flatMap((mast) => mast.senders);
  return new Map(
    victims.map((victim) => {
      const subscribers = findSubscribers(view, victim, senders, heard);
      return [victim, combineNoise(mastScene, victim, { pathFrom, subscribers })];
    }),
  );
}

/** The path between two masts, or null out of reach. */
function findMastPath({ request }: CpeView, ground: Ground, from: LonLat, to: LonLat) {
  const line = createGeodesicLine(from, to);
  if (line.distanceM > MAX_REACH_M) return null;
  return walkPath(ground, request, line, countFineSteps(ground, request.model, line.distanceM));
}

/** Level per chain at each sector of a station, mW, by its number. */
type Levels = Map<number, number>;

/** Share of a receiver's noise under which the senders of all sectors together are not looked at: 0.1 dB. */
const FAINT_SHARE = 10 ** 0.01 - 1;

/** Power of a sender at the sectors of a station; where its upper bound is faint, the bound itself. */
function computeLevels(view: CpeView, ground: Ground, station: Station, sender: DrawnSender): Levels {
  const { at, own, cpe } = sender;
  const line = findGeodesic(station.place, at);
  const far = createFarStation(station, line);
  const field = createFarField(ground, at, [far], cpe.heightAglM);
  const isOwn = station.site === own.route.station.site;
  const gain = isOwn ? 1 : boundGainToward(view, own, line.backAzimuthDeg);
  const levels: Levels = new Map();
  for (const mast of station.masts) {
    for (const victim of mast.senders) {
      const sent = { far, mast, sender: victim, gain: gain * computeUpPerDown(view, victim, sender) };
      const { mostMw, isFaint } = weighUp(view, field, sent);
      levels.set(victim, isFaint ? mostMw : computeWalkedMw(view, field, sent, sender));
    }
  }
  return levels;
}

/** Level of a subscriber at a sector over that of the sector at the subscriber, linear; one path serves both ways. */
function computeUpPerDown({ links }: CpeView, victim: number, { control }: DrawnSender): number {
  const { up, down } = links[victim];
  return toRatio(up.baseDbm - down.baseDbm) * control;
}

interface Sent {
  far: FarStation;
  mast: StationMast;
  sender: number;
  gain: number;
}

function weighUp(
  view: CpeView,
  field: FarField,
  { far, mast, sender, gain }: Sent,
): { mostMw: number; isFaint: boolean } {
  const faintMw = (FAINT_SHARE * toMilliwatts(view.links[sender].up.noiseDbm)) / view.links.length;
  const { freeMwAtKm, levelGain, frequencyGhz } = view.senders[sender];
  const { azimuthDeg, distanceM } = far.line;
  const freeMw = (freeMwAtKm * levelGain(azimuthDeg) * gain) / (Math.max(1, distanceM) / 1000) ** 2;
  const lossDb = freeMw <= faintMw ? 0 : boundDiffractionDb(view, field, far, { mast, frequencyGhz });
  const mostMw = freeMw * toRatio(-lossDb);
  return { mostMw, isFaint: mostMw <= faintMw };
}

function computeWalkedMw(view: CpeView, field: FarField, { far, mast, sender }: Sent, drawn: DrawnSender): number {
  const arrival = findFarArrival(view, field, far, { mast, number: sender, cpe: drawn.cpe });
  const isOwn = far.station.site === drawn.own.route.station.site;
  const aside = isOwn ? 1 : findDiscrimination(view, drawn.own, arrival, 0);
  return toMilliwatts(arrival.levelDbm[0]) * computeUpPerDown(view, sender, drawn) * aside;
}

/** Share of a receiver's noise under which a sector's subscribers count with their mean alone. */
const STEADY_SHARE = 0.05;

/** One subscriber at a time in each other sector; the faint sectors together as one steady sender. */
function findSubscribers(
  view: CpeView,
  victim: number,
  senders: readonly DrawnSender[],
  heard: readonly Levels[],
): UplinkSender[] {
  const { subscriberShareUp, subscriberOnUp } = view.overlap(victim);
  const bySector = new Map<number, { levelsMw: number[]; weights: number[] }>();
  senders.forEach(({ sector, weight }, index) => {
    if (subscriberShareUp[sector] * subscriberOnUp[sector] === 0) return;
    const of = bySector.get(sector) ?? { levelsMw: [], weights: [] };
    of.levelsMw.push((heard[index].get(victim) ?? 0) * subscriberShareUp[sector]);
    of.weights.push(weight);
    bySector.set(sector, of);
  });
  const all = [...bySector].map(([sector, { levelsMw, weights }]) => ({
    levelsMw: Float64Array.from(levelsMw),
    weights: Float64Array.from(weights),
    activity: subscriberOnUp[sector],
  }));
  const limitMw = STEADY_SHARE * toMilliwatts(view.links[victim].up.noiseDbm);
  const isSteady = ({ levelsMw }: UplinkSender) => Math.max(...levelsMw) < limitMw;
  const steadyMw = meanLevelMw(all.filter(isSteady));
  const steady = { levelsMw: Float64Array.of(steadyMw), weights: Float64Array.of(1), activity: 1 };
  return [...all.filter((sender) => !isSteady(sender)), steady];
}
