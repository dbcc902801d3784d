import { findErrorSigmaDb } from "@fellmark/coverage";
import { findGeodesic, type LonLat, MAX_LATITUDE_DEG } from "@fellmark/geodesy";
import { findSectorTraffic, type PlanSpec } from "@fellmark/network";
import type { Answer } from "../place/answer.ts";
import type { AnswerLink } from "../place/answer-link.ts";
import { SERVICEABLE_PROBABILITY } from "../place/verdict.ts";
import { type AnsweringNetwork, readSignalDbm } from "./answering-network.ts";
import { findExpiry, type TreesAtEnd } from "./expiry.ts";
import { answerAtLocation, listLocationPoints } from "./location-accuracy.ts";
import { answerAtMount, chooseMount } from "./mount.ts";
import { computeSectorLoad, type SectorLoad } from "./sector-load.ts";
import { writeServiceReason } from "./service-reason.ts";
import type { BriefLink, PlanOffer, Serviceability, ServiceLink, ServiceQuestion } from "./service-report.ts";
import type { SubscriberRates } from "./subscriber-rates.ts";

/** Best sector and two alternates. */
const LINKS_IN_FULL = 3;

/**
 * Answers a place for people: location accuracy, best sectors, plans with room, expiry.
 * Throws as answerPoint.
 */
export async function answerServiceability(
  network: AnsweringNetwork,
  rates: SubscriberRates,
  question: ServiceQuestion,
): Promise<Serviceability> {
  const { answer, locationAccuracy } = await answerLocationAccuracy(network, question);
  const { at, plan } = question;
  const mounted = await answerAtMount(answer, (heightAglM) =>
    network.ask(at, { heightAglM, ...(plan !== undefined && { plan }) }),
  );
  const isServed = mounted.verdict === "serviceable" && answer.verdict !== "survey-first";
  const load = await computeLoad(network, rates, mounted);
  const plans = network.request.plans.map((sold) => planOffer(sold, answer, mounted, load));
  const offer = isServed ? (plans.find(({ lacks, fits }) => lacks === null && fits !== false)?.plan ?? null) : null;
  const expires = isServed ? findExpiry(question.asOf, listTrees(network, mounted)) : null;
  const { links, ...spoken } = answer;
  return {
    ...spoken,
    reason: writeServiceReason(answer.reason, { plans, offer, expires }),
    warnings: links.length > 0 ? answer.warnings : [...answer.warnings, ...swapWarnings(network, question.at)],
    asOf: question.asOf,
    offer,
    plans,
    links: links.slice(0, LINKS_IN_FULL).map(toServiceLink),
    others: links.slice(LINKS_IN_FULL).map(toBriefLink),
    locationAccuracy,
    load,
    mount: chooseMount(mounted, question.asOf),
    expires,
  };
}

/** The answer at the point, with the verdict that its whole circle allows. */
async function answerLocationAccuracy(
  network: AnsweringNetwork,
  { at, locationAccuracyM, asOf: _day, ...change }: ServiceQuestion,
) {
  const points = listLocationPoints(at, locationAccuracyM);
  const answers: Answer[] = [];
  for (const [index, point] of points.entries()) {
    answers.push(await network.ask(point, index === 0 ? change : { ...change, withProfile: false }));
  }
  return answerAtLocation(answers, points, locationAccuracyM);
}

/** Warns of a place that lies out of reach, but would not with its coordinates exchanged. */
function swapWarnings({ request }: AnsweringNetwork, { lon, lat }: LonLat): Answer["warnings"] {
  if (Math.abs(lon) > MAX_LATITUDE_DEG) return [];
  const swapped = { lon: lat, lat: lon };
  const isNear = request.sites.some((site) => findGeodesic(site, swapped).distanceM <= request.area.radiusM);
  if (!isNear) return [];
  const detail = `longitude and latitude may be swapped: swapped, the place is near a mast: [${lat}, ${lon}]`;
  return [{ code: "coordinates_swapped", pointer: "/place/at", detail }];
}

/** Load of the best sector with one more subscriber at the mount; null where that is not known. */
async function computeLoad({ request }: AnsweringNetwork, rates: SubscriberRates, { links: [best] }: Answer) {
  const sector = request.sectors.find(({ id }) => id === best?.sector);
  if (!best || !sector) return null;
  const subscribers = await rates.ofSector(sector.id);
  const offered = { plans: request.plans, traffic: findSectorTraffic(request, sector) };
  return subscribers && computeSectorLoad(subscribers, best, offered);
}

function planOffer(plan: PlanSpec, { plans }: Answer, { links }: Answer, load: SectorLoad | null): PlanOffer {
  const { id, downMbps, upMbps } = plan;
  const { probability = null, leastHeightAglM = null } = plans.find((row) => row.plan === id) ?? {};
  const fits = load?.plans.find((row) => row.plan === id)?.fits ?? null;
  return { plan: id, downMbps, upMbps, probability, leastHeightAglM, lacks: findLacking(plan, links[0]), fits };
}

function findLacking(plan: PlanSpec, link: AnswerLink | undefined): PlanOffer["lacks"] {
  const isDownShort = !link || link.downMbps < plan.downMbps;
  const isUpShort = !link || link.upMbps < plan.upMbps;
  if (isDownShort) return isUpShort ? "both" : "down";
  return isUpShort ? "up" : null;
}

function toServiceLink(link: AnswerLink): ServiceLink {
  return { ...link, expected: { downDbm: readSignalDbm(link.down), upDbm: readSignalDbm(link.up) } };
}

function toBriefLink(link: AnswerLink): BriefLink {
  const { sector, distanceM, azimuthDeg, class: sight, downMbps, upMbps, downNowMbps, upNowMbps } = link;
  const rates = { downMbps, upMbps, downNowMbps, upNowMbps };
  return { sector, distanceM, azimuthDeg, class: sight, ...rates, downDbm: readSignalDbm(link.down) };
}

/** The trees at both ends of the best link. */
function listTrees({ request }: AnsweringNetwork, { links, clutter, probability, heightAglM }: Answer): TreesAtEnd[] {
  const sector = request.sectors.find(({ id }) => id === links[0]?.sector);
  if (!sector || probability === null) return [];
  const ends = [
    { around: clutter.cpe, antennaHeightAglM: heightAglM },
    { around: clutter.mast[0], antennaHeightAglM: sector.heightAglM },
  ];
  return ends.flatMap(({ around, antennaHeightAglM }) => {
    if (around?.kind !== "trees") return [];
    return {
      treeHeightM: around.heightM,
      antennaHeightAglM,
      frequencyGhz: sector.channel.centreMhz / 1000,
      foliage: request.model.foliage,
      probability,
      leastProbability: Math.min(SERVICEABLE_PROBABILITY, probability),
      sigmaDb: findErrorSigmaDb(request.model, links[0].class, clutter.known ? "costs" : "unknown"),
    };
  });
}
