import type { Port } from "@fellmark/antenna";
import {
  computeConfidenceFactor,
  computeLinkFadeDb,
  findCpeAmslM,
  findErrorSigmaDb,
  findLeadingPort,
  hasEndClutterLoss,
  isClutterStated,
} from "@fellmark/coverage";
import type { ModelSpec } from "@fellmark/network";
import { toMilliwatts } from "@fellmark/units";
import { addFarInterference } from "../interference/far-interference.ts";
import { addInterference, createInterference, type Interference } from "../interference/interference.ts";
import type { CpeView } from "../scene/scene.ts";
import type { Arrival } from "./arrival.ts";
import { linkLevel } from "./link-level.ts";
import { computeSinrDownDb, type PortLink, planProbability, type RatedLink } from "./margins.ts";
import { mountCpe, type Place } from "./place.ts";
import { findArrivals, type MountedCpe } from "./reception.ts";

/** A place at one height of the CPE: what arrives there, and what of it comes from sectors that may serve. */
export interface Standing {
  cpe: MountedCpe;
  arrivals: Arrival[];
  serving: Arrival[];
}

/** @param sectors only these may serve; absent: all in range. */
export function findStanding(view: CpeView, place: Place, heightAglM: number, sectors?: ReadonlySet<string>): Standing {
  const cpe = mountCpe(view, place, heightAglM);
  const standing: Standing = { cpe, arrivals: [], serving: [] };
  for (const route of place.routes) {
    for (const arrival of findArrivals(view, route, cpe)) {
      standing.arrivals.push(arrival);
      const mayServe = route.mayServe && (sectors?.has(arrival.sender.sector?.id ?? "") ?? true);
      if (mayServe) standing.serving.push(arrival);
    }
  }
  return standing;
}

/** Those that may serve, the strongest first. */
export function sortStrongestFirst({ serving }: Standing): Arrival[] {
  return serving
    .map((arrival) => ({ arrival, levelMw: computeLevelMw(arrival) }))
    .sort((a, b) => b.levelMw - a.levelMw)
    .map(({ arrival }) => arrival);
}

/** Of all ports together. */
function computeLevelMw({ levelDbm }: Arrival): number {
  let sum = 0;
  for (const dbm of levelDbm) sum += toMilliwatts(dbm);
  return sum;
}

/** The link of an arrival that may serve, with all interference. */
export function rateLink(view: CpeView, place: Place, standing: Standing, wanted: Arrival): RatedLink {
  const interference = findInterference(view, place, standing, wanted);
  const ports = interference.map((heard, index) => buildPortLink(view, place, wanted, { index, heard }));
  const [first, last = first] = ports;
  const isSingleStream = view.links[wanted.sender.number].rates.streams === 1;
  const leading = findLeadingPort(isSingleStream, computeSinrDownDb(first), computeSinrDownDb(last));
  return { ...ports[leading], ports };
}

function findInterference(view: CpeView, place: Place, standing: Standing, wanted: Arrival): Interference[] {
  const { number } = wanted.sender;
  const sums = view.ports.map(createInterference);
  const findSigmaDb = (arrival: Arrival) => computeSigmaDb(view, place, arrival);
  const aim = { wanted, overlap: view.overlap(number), findSigmaDb };
  addInterference(view, aim, standing.arrivals, sums);
  const noiseMw = toMilliwatts(view.links[number].down.noiseDbm);
  if (place.far) addFarInterference(view, aim, place.far, sums, { cpe: standing.cpe, noiseMw });
  return sums;
}

function buildPortLink(
  view: CpeView,
  place: Place,
  wanted: Arrival,
  { index, heard }: { index: number; heard: Interference },
): PortLink {
  const { model } = view.request;
  const { sender } = wanted;
  const link = view.links[sender.number];
  return {
    level: linkLevel(link, wanted, index as Port),
    margins: {
      fadeDb: computeFadeDb(model, wanted),
      sigmaDb: computeSigmaDb(view, place, wanted),
      confidenceFactor: computeConfidenceFactor(model.confidence),
      downNoiseDbm: link.down.noiseDbm,
      upNoise: view.noise(sender.number),
      interference: heard,
    },
  };
}

/** Margin against fading. A place without elevation lies level at the sea, where it fades most. */
function computeFadeDb(model: ModelSpec, { sender, route, loss }: Arrival): number {
  const { distanceM, bareAmslM } = route.path;
  const { departureElevationDeg, arrivalElevationDeg } = loss;
  const mastAmslM = route.isKnown ? bareAmslM[0] + sender.heightAglM : 0;
  const cpeAmslM = findCpeAmslM(model, { distanceM, departureElevationDeg, arrivalElevationDeg, mastAmslM });
  const { frequencyGhz } = sender;
  return computeLinkFadeDb(model, { distanceM, frequencyGhz, txAmslM: mastAmslM, rxAmslM: cpeAmslM });
}

/** Spread of the prediction; own measurements say nothing of a place that the rasters of clutter do not cover. */
function computeSigmaDb({ request: { model }, links }: CpeView, { isClutterKnown }: Place, arrival: Arrival): number {
  const { loss, route, clutterCpeDb, sender } = arrival;
  if (!isClutterKnown) {
    return findErrorSigmaDb(isClutterStated(model) ? { ...model, calibration: null } : model, loss.class, "unknown");
  }
  const isObstructed = route.path.cover !== null && loss.class !== "clear";
  const isEndLossy = sender.sector !== null && hasEndClutterLoss(links[sender.number]);
  const costs = isObstructed || isEndLossy || clutterCpeDb > 0;
  return findErrorSigmaDb(model, loss.class, costs ? "costs" : "free");
}

/** Probability that each plan holds by a link; 0 without one. */
export function planProbabilities({ request }: CpeView, link: RatedLink | undefined): number[] {
  return request.plans.map((plan) => (link ? planProbability(plan, link) : 0));
}

/** The link to the strongest sector that may serve. */
export function findBestLink(view: CpeView, place: Place, standing: Standing): RatedLink | undefined {
  let best: Arrival | undefined;
  let bestMw = 0;
  for (const arrival of standing.serving) {
    const mw = computeLevelMw(arrival);
    if (best && mw <= bestMw) continue;
    best = arrival;
    bestMw = mw;
  }
  return best && rateLink(view, place, standing, best);
}
