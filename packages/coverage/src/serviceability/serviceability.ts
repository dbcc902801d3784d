import { geodesicBetween, type LonLat } from "@fellmark/geodesy";
import type { PlanSpec } from "@fellmark/network";
import { InputError } from "@fellmark/units";
import type { AnswerLink } from "../answer/answer-link.ts";
import { errorSigmaDb } from "../link/link-budget.ts";
import { type AnswerInFull, type AnsweringNetwork, type PlaceChange, signalDbm } from "./ask.ts";
import { type Expiry, expiryOf, type TreesAtEnd } from "./expiry.ts";
import { judgePin, type PinReport, type PointVerdict, pinPoints } from "./pin.ts";
import { type SectorLoad, sectorLoad } from "./sector-load.ts";
import type { SubscriberRates } from "./subscriber-rates.ts";

/** What is asked of a place. */
export interface PlaceQuestion extends Pick<PlaceChange, "heightAglM" | "plan" | "withProfile"> {
  at: LonLat;
  /** Radius of the circle within which the house lies; 0: the point is exact. */
  pinRadiusM: number;
  /** The day of the answer, YYYY-MM-DD. */
  asOf: string;
}

/** A plan at a place. */
export interface PlanStanding {
  plan: string;
  downMbps: number;
  upMbps: number;
  probability: number | null;
  leastHeightAglM: number | null;
  /** Which direction of the best link is too slow for it; null where both hold. */
  lacks: "down" | "up" | "both" | null;
  /** Whether the best sector has room for it; null where its subscribers are not known. */
  fits: boolean | null;
}

/** A link with the level that an installer should read at either end, per chain. */
export interface ServiceLink extends AnswerLink {
  expected: { downDbm: number; upDbm: number };
}

/** What is said of a sector that is neither the best nor an alternate. */
export type BriefLink = Pick<AnswerLink, "sector" | "distanceM" | "azimuthDeg" | "class" | "downMbps" | "upMbps"> & {
  downDbm: number;
};

/** Whether a place can be served, with which plan, and what it would take: an answer as people use it. */
export interface Serviceability extends Omit<AnswerInFull, "links" | "plans"> {
  asOf: string;
  /** The plan to promise: the best that holds both ways and that the sector has room for. */
  offer: string | null;
  plans: PlanStanding[];
  /** The best sector and two alternates. */
  links: ServiceLink[];
  others: BriefLink[];
  pin: PinReport;
  /** Of the best sector; null where no subscribers are known. */
  load: SectorLoad | null;
  /** Null where there is nothing to rely on. */
  expires: Expiry | null;
}

/** Probability from which a plan counts as served. Common practice, no source. */
const SERVICEABLE_PROBABILITY = 0.9;

/** Best sector and two alternates. */
const LINKS_IN_FULL = 3;

/**
 * Answers a place for people: pin, best sectors, plans with room, expiry.
 * Throws InputError at /plan for a plan that the network does not sell.
 */
export async function serviceabilityAt(
  network: AnsweringNetwork,
  rates: SubscriberRates,
  question: PlaceQuestion,
): Promise<Serviceability> {
  const { asOf } = question;
  checkPlan(network, question.plan);
  const { answer, pin } = await answerPin(network, question);
  const { links, ...spoken } = answer;
  const best = links[0];
  const subscribers = best ? await rates.ofSector(best.sector) : null;
  const load = best && subscribers ? sectorLoad(subscribers, best, network.request.plans) : null;
  const plans = network.request.plans.map((plan) => planStanding(plan, answer, load));
  const offer = plans.find(({ lacks, fits }) => lacks === null && fits !== false)?.plan ?? null;
  return {
    ...spoken,
    reason: reasonOf(answer, pin, offer),
    asOf,
    offer,
    plans,
    links: links.slice(0, LINKS_IN_FULL).map(serviceLink),
    others: links.slice(LINKS_IN_FULL).map(briefLink),
    pin,
    load,
    expires: await expiryAt(network, question, answer),
  };
}

function checkPlan({ request }: AnsweringNetwork, plan: string | undefined): void {
  if (plan === undefined || request.plans.some(({ id }) => id === plan)) return;
  const limit = request.plans.map(({ id }) => id).join(", ");
  throw new InputError([{ pointer: "/plan", detail: `there is no plan "${plan}" in the network`, limit }]);
}

/** The answer at the pin, with the verdict that its whole circle allows. */
async function answerPin(network: AnsweringNetwork, { at, pinRadiusM, asOf: _day, ...change }: PlaceQuestion) {
  const [centre, ...around] = pinPoints(at, pinRadiusM);
  const answer = await answerPoint(network, centre, change);
  const points: PointVerdict[] = [{ ...answer, at: centre }];
  for (const point of around) {
    points.push({ ...(await answerPoint(network, point, { ...change, withProfile: false })), at: point });
  }
  const pin = judgePin(points, pinRadiusM);
  return { answer: pin.agrees ? answer : { ...answer, verdict: "survey-first" as const }, pin };
}

/** The answer of one point. Out of everybody's reach a place is refused only where its ground is known. */
async function answerPoint(network: AnsweringNetwork, at: LonLat, change: PlaceChange): Promise<AnswerInFull> {
  const answer = await network.ask(at, change);
  if (answer.verdict !== "not-serviceable" || answer.links.length > 0) return answer;
  if (await network.isGroundKnown(at)) return { ...answer, reason: `${answer.reason}${swapHint(network, at)}` };
  const reason = `the terrain at this place is not known${swapHint(network, at)}`;
  return { ...answer, verdict: "not-known", reason };
}

/** Said where a place lies out of reach, but would not with its coordinates exchanged. */
function swapHint({ request }: AnsweringNetwork, { lon, lat }: LonLat): string {
  if (Math.abs(lon) > 85) return "";
  const swapped = { lon: lat, lat: lon };
  const isNear = request.sites.some((site) => geodesicBetween(site, swapped).distanceM <= request.area.radiusM);
  return isNear ? `; with longitude and latitude exchanged it would lie near a mast: [${lat}, ${lon}]` : "";
}

function planStanding(plan: PlanSpec, { links, plans }: AnswerInFull, load: SectorLoad | null): PlanStanding {
  const { id, downMbps, upMbps } = plan;
  const { probability = null, leastHeightAglM = null } = plans.find((row) => row.plan === id) ?? {};
  const fits = load?.plans.find((row) => row.plan === id)?.fits ?? null;
  return { plan: id, downMbps, upMbps, probability, leastHeightAglM, lacks: lacking(plan, links[0]), fits };
}

function lacking(plan: PlanSpec, link: AnswerLink | undefined): PlanStanding["lacks"] {
  const isDownShort = !link || link.downMbps < plan.downMbps;
  const isUpShort = !link || link.upMbps < plan.upMbps;
  if (isDownShort) return isUpShort ? "both" : "down";
  return isUpShort ? "up" : null;
}

function serviceLink(link: AnswerLink): ServiceLink {
  return { ...link, expected: { downDbm: signalDbm(link.down), upDbm: signalDbm(link.up) } };
}

function briefLink({ sector, distanceM, azimuthDeg, class: sight, downMbps, upMbps, down }: AnswerLink): BriefLink {
  return { sector, distanceM, azimuthDeg, class: sight, downMbps, upMbps, downDbm: signalDbm(down) };
}

function reasonOf({ reason, plan }: AnswerInFull, { agrees, radiusM, best }: PinReport, offer: string | null): string {
  const full = plan !== null && offer === null ? "; the sector has no room for another subscriber" : "";
  if (agrees) return `${reason}${full}`;
  const where = best.at.map((degrees) => degrees.toFixed(5)).join(", ");
  return `the house lies somewhere within ${radiusM} m, where verdicts differ, best (${best.verdict}) at ${where}; at the point itself ${reason}${full}`;
}

/** Until when the verdict holds: asked at the height that it is given for. */
async function expiryAt(
  network: AnsweringNetwork,
  { at, plan, asOf }: PlaceQuestion,
  answer: AnswerInFull,
): Promise<Expiry | null> {
  const { verdict, leastHeightAglM } = answer;
  if (verdict !== "serviceable" && verdict !== "serviceable-at-height") return null;
  if (verdict === "serviceable" || leastHeightAglM === null) return expiryOf(asOf, treesAt(network, answer));
  const mounted = await network.ask(at, { heightAglM: leastHeightAglM, ...(plan !== undefined && { plan }) });
  return expiryOf(asOf, treesAt(network, mounted));
}

/** The trees at both ends of the best link. */
function treesAt(
  { request }: AnsweringNetwork,
  { links, clutter, probability, heightAglM }: AnswerInFull,
): TreesAtEnd[] {
  const sector = request.sectors.find(({ id }) => id === links[0]?.sector);
  if (!sector || probability === null) return [];
  const ends = [
    { around: clutter.kit, antennaHeightAglM: heightAglM },
    { around: clutter.mast[0], antennaHeightAglM: sector.heightAglM },
  ];
  return ends.flatMap(({ around, antennaHeightAglM }) => {
    if (around?.kind !== "trees") return [];
    return {
      treeHeightM: around.heightM,
      antennaHeightAglM,
      frequencyGhz: sector.channel.centreMhz / 1000,
      leaf: request.model.leaf,
      probability,
      leastProbability: Math.min(SERVICEABLE_PROBABILITY, probability),
      sigmaDb: errorSigmaDb(request.model, links[0].class, clutter.known),
    };
  });
}
