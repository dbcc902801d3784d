import { type ClutterAround, readGroundHeight, standsOnRoof, UNKNOWN_CLUTTER, type Warning } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import type { CpeSpec, PlanSpec } from "@fellmark/network";
import type { ProfileToDraw } from "@fellmark/picture";
import { InputError } from "@fellmark/units";
import { passesBelowClass } from "../reception/in-the-way.ts";
import { findHeldPlan, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { buildPlace, findClutterAround } from "../reception/place-at.ts";
import type { Route } from "../reception/route.ts";
import { findStanding, rateLink, type Standing, sortStrongestFirst } from "../reception/standing.ts";
import { type AnswerInputs, listInputs } from "../scene/answer-inputs.ts";
import { findView } from "../scene/cpe-view.ts";
import type { AnswerScene, CpeView, SceneTerrain } from "../scene/scene.ts";
import { type AnswerLink, answerLink, linkContext } from "./answer-link.ts";
import { listWarnings } from "./answer-warnings.ts";
import { type HeadlineFacts, writeHeadline } from "./headline.ts";
import { buildProfileToDraw } from "./profile-to-draw.ts";
import { writeReason, writeRoof, writeSight } from "./reason.ts";
import { compareSeasons, type SeasonOutcome } from "./seasons.ts";
import {
  chooseCase,
  decideVerdict,
  describeOffer,
  findLikelihood,
  type HeightScan,
  type Likelihood,
  listHeights,
  listOffers,
  type PlanOfferAt,
  type PlanStanding,
  planStandings,
  scanHeights,
  type Verdict,
} from "./verdict.ts";

export type { Likelihood, Verdict };

/** Verdict on a place, the case that it is about, and what it would take. */
export interface Answer {
  version: 1;
  at: [number, number] | null;
  verdict: Verdict;
  /** Expected outcome of a survey; null where the verdict asks for none. */
  likelihood: Likelihood | null;
  /** Height asked for, m above ground. */
  heightAglM: number;
  /** Least height of the mount that is worth it; null where the height asked for is enough, or none is. */
  leastHeightAglM: number | null;
  /** Of the case considered. */
  probability: number | null;
  /** The best plan that holds both ways with the margins at the height asked for: the class of the map. */
  plan: string | null;
  /**
   * Plan and height that verdict, probability, reason and picture are about: the offer that is made, else the plan asked
   * for or the cheapest where it has the best chance. Null without a link.
   */
  considered: PlanOfferAt | null;
  /** Verdict and case in one line. */
  headline: string;
  reason: string;
  /** Links at the height asked for, the strongest first. */
  links: AnswerLink[];
  /** Every plan, the best first. */
  plans: PlanStanding[];
  /** The plans that hold at some height of the mount, the best first, each at its least height. */
  offers: PlanOfferAt[];
  /** Clutter at the CPE and at the mast of each link. */
  clutter: { known: boolean; mast: ClutterAround[]; cpe: ClutterAround | null };
  /** With and without leaves at the height asked for, where trees decide the plan or whether to survey. */
  foliage: { leafOn: SeasonOutcome; leafOff: SeasonOutcome } | null;
  inputs: AnswerInputs;
  warnings: Warning[];
  /** The way to the strongest sector, where it was asked for. */
  profile?: ProfileToDraw;
}

/** Details of a question about a place, beside the place itself. */
export interface PlaceQuestion {
  /** Another CPE than the request's. */
  cpe?: Partial<CpeSpec>;
  heightAglM?: number;
  /** Service range, no greater than that of the request; absent: that. */
  radiusM?: number;
  /** Plan that the verdict is on; default: the cheapest. */
  plan?: string;
  /** True where to tell the profile of the best link. */
  withProfile?: boolean;
  /** Only these may serve; all of them are told. */
  sectors?: readonly string[];
  /** Number of the strongest sectors that are told, 1 or more; default: 6, and 3 where others stand beyond service range. */
  links?: number;
}

/** Answers a place. Throws InputError for a CPE that cannot be built and a plan that does not exist. */
export async function answerPoint(scene: AnswerScene, at: LonLat, question: PlaceQuestion = {}): Promise<Answer> {
  return answerInRange(scene, at, question) ?? (await answerOutOfRange(scene, at, question));
}

/** Null where no site is in service range. */
export function answerInRange(scene: AnswerScene, at: LonLat, question: PlaceQuestion): Answer | null {
  const { terrain } = scene;
  if (!terrain) throw new TypeError("a scene without terrain answers no places");
  const view = findView(scene, question.cpe);
  const greatestM = Math.max(findGreatestHeight(view, question), chooseHeight(view, question));
  const place = buildPlace(view, terrain.ground, at, { greatestHeightM: greatestM, radiusM: question.radiusM });
  const isInRange = place.routes.some(({ station }) => station.site !== null);
  return isInRange ? answerPlace(view, place, question) : null;
}

/** Off the terrain nothing is known; on it, nobody serves. */
async function answerOutOfRange(scene: AnswerScene, at: LonLat, question: PlaceQuestion): Promise<Answer> {
  const { catalogue, ground } = scene.terrain as SceneTerrain;
  if (!catalogue) throw new TypeError("only the scene that was prepared answers places out of range");
  const view = findView(scene, question.cpe);
  const isKnown =
    !Number.isNaN(ground.mosaic.findHeightAmslM(at.lon, at.lat)) ||
    !Number.isNaN(await readGroundHeight(catalogue, scene.request.terrain.sets, at));
  const place = { at, routes: [], far: null, ...findClutterAround(view, ground, at) };
  return answerWithoutLinks(view, place, question, isKnown ? "not-serviceable" : "not-known");
}

/** The same for a place whose paths are there already. */
export function answerPlace(view: CpeView, place: Place, question: PlaceQuestion = {}): Answer {
  const sectors = question.sectors && new Set(question.sectors);
  const now = findStanding(view, place, chooseHeight(view, question), sectors);
  if (now.serving.length > 0) return answerJudged(view, place, now, question);
  return answerWithoutLinks(view, place, question, place.routes.some(isLost) ? "not-known" : "not-serviceable");
}

function chooseHeight({ scene }: CpeView, { heightAglM, cpe }: PlaceQuestion): number {
  return heightAglM ?? cpe?.heightAglM ?? scene.request.cpe.heightAglM;
}

function writeOutOfRange({ request: { area } }: CpeView, { radiusM = area.radiusM }: PlaceQuestion): string {
  return `No sector is within the service radius of ${(radiusM / 1000).toFixed(1)} km.`;
}

/** The answer where no link can be reported. */
function answerWithoutLinks(
  view: CpeView,
  place: Place,
  question: PlaceQuestion,
  verdict: "not-serviceable" | "not-known",
): Answer {
  const { plans } = view.request;
  return {
    ...listFacts(view, place),
    verdict,
    likelihood: null,
    heightAglM: chooseHeight(view, question),
    leastHeightAglM: null,
    probability: null,
    plan: null,
    considered: null,
    headline: verdict === "not-known" ? "not known" : "not serviceable: no sector in range",
    reason: verdict === "not-known" ? "The terrain on the way is not known." : writeOutOfRange(view, question),
    links: [],
    plans: verdict === "not-known" ? [] : plans.map(({ id }) => ({ plan: id, probability: 0, leastHeightAglM: null })),
    offers: [],
    clutter: { known: place.isClutterKnown, mast: [], cpe: findCpeClutter(place) },
    foliage: null,
    warnings: listWarnings(view, place, []),
  };
}

function listFacts({ scene }: CpeView, { at }: Place): Pick<Answer, "version" | "at" | "inputs"> {
  return { version: 1, at: at && [at.lon, at.lat], inputs: listInputs(scene) };
}

function findCpeClutter({ clutter, isClutterKnown }: Place): ClutterAround | null {
  return isClutterKnown ? clutter : null;
}

/** Number of the strongest sectors that are told; of a network that reaches beyond service range the best and two alternates. */
const MOST_LINKS = 6;
const MOST_LINKS_OF_MANY = 3;

function countLinksTold({ far }: Place, { serving }: Standing, { sectors, links }: PlaceQuestion): number {
  if (sectors) return serving.length;
  return links ?? (far && far.stations.length > 0 ? MOST_LINKS_OF_MANY : MOST_LINKS);
}

function answerJudged(view: CpeView, place: Place, now: Standing, question: PlaceQuestion): Answer {
  const { request, scene } = view;
  const told = sortStrongestFirst(now).slice(0, countLinksTold(place, now, question));
  const links = told.map((arrival) => rateLink(view, place, now, arrival));
  const [best] = links;
  const sectors = question.sectors && new Set(question.sectors);
  const { heightAglM } = now.cpe;
  const scan = scanHeights(view, place, listMountHeights(view, question, heightAglM), best, sectors);
  const { considered, asked, ...judgement } = judge(view, place, scan, question);
  const answerLinks = links.map((link) => answerLink(linkContext(view, place, heightAglM), link));
  const { rated, link } = findConsideredLink({ view, place, scan }, considered.heightAglM, {
    rated: best,
    link: answerLinks[0],
  });
  const plan = findPlan(view, considered.plan);
  const roofM = standsOnRoof(request.cpe) ? place.roofM : 0;
  const facts: HeadlineFacts = {
    ...{ ...judgement, considered, plan, heightAglM },
    probabilityThere: findChance(judgement.plans, considered.plan),
  };
  return {
    ...listFacts(view, place),
    ...judgement,
    heightAglM,
    probability: considered.probability,
    plan: request.plans[findHeldPlan(request.plans, best) - 1]?.id ?? null,
    considered,
    headline: writeHeadline(facts),
    reason: writeReason({
      ...facts,
      ...{ rated, link, linkThere: answerLinks[0], roofM, clutterKnown: place.isClutterKnown },
      best: findBestChance(scan, asked),
    }),
    links: answerLinks,
    clutter: {
      known: place.isClutterKnown,
      mast: told.map(({ sender }) => (sender.sector ? scene.endsOf(sender.sector).mast : UNKNOWN_CLUTTER)),
      cpe: findCpeClutter(place),
    },
    foliage: compareSeasons(view, place, best, { heightAglM, plan, sectors, radiusM: question.radiusM }),
    warnings: listWarnings(view, place, answerLinks),
    ...(question.withProfile && {
      profile: buildProfileToDraw(view, place, {
        arrival: rated.level.arrival,
        link,
        facts,
        sight: [writeRoof({ considered, roofM }), writeSight(link)].join(" ").trim(),
      }),
    }),
  };
}

/** The link of the case considered, with its report. At the height asked for it is the one that is there already. */
function findConsideredLink(
  { view, place, scan: { heights, links } }: { view: CpeView; place: Place; scan: HeightScan },
  heightAglM: number,
  now: { rated: RatedLink; link: AnswerLink },
): { rated: RatedLink; link: AnswerLink } {
  const rated = links[heights.indexOf(heightAglM)];
  if (!rated || rated === now.rated) return now;
  return { rated, link: answerLink(linkContext(view, place, heightAglM), rated) };
}

function findPlan({ request }: CpeView, id: string): PlanSpec {
  return request.plans.find((plan) => plan.id === id) as PlanSpec;
}

function findChance(plans: readonly PlanStanding[], id: string): number {
  return plans.find(({ plan }) => plan === id)?.probability ?? 0;
}

/** Greatest chance that a plan has at any height. */
function findBestChance({ heights, probabilities }: HeightScan, plan: number) {
  return {
    probability: Math.max(...probabilities.map((ofPlans) => ofPlans[plan])),
    greatestM: heights[heights.length - 1],
  };
}

interface Judgement extends Pick<Answer, "verdict" | "likelihood" | "leastHeightAglM" | "plans" | "offers"> {
  considered: PlanOfferAt;
  /** Number of the plan asked for, or of the cheapest. */
  asked: number;
}

/** Number of the plan that the verdict is on. Throws InputError for one that the request does not have. */
function findAskedPlan({ request: { plans } }: CpeView, { plan }: PlaceQuestion): number {
  if (plan === undefined) return plans.length - 1;
  const asked = plans.findIndex(({ id }) => id === plan);
  if (asked < 0) throw new InputError([{ pointer: "/plan", detail: `there is no plan "${plan}"` }]);
  return asked;
}

/** Greatest height that the CPE may be mounted at, m above ground. */
function findGreatestHeight(view: CpeView, question: PlaceQuestion): number {
  return question.cpe?.maxHeightAglM ?? view.scene.request.cpe.maxHeightAglM ?? chooseHeight(view, question);
}

/** Heights that the CPE may be mounted at, the one asked for first. */
function listMountHeights(view: CpeView, question: PlaceQuestion, heightAglM: number): number[] {
  return listHeights(heightAglM, Math.max(heightAglM, findGreatestHeight(view, question)));
}

function judge(view: CpeView, place: Place, scan: HeightScan, question: PlaceQuestion): Judgement {
  const asked = findAskedPlan(view, question);
  const plans = planStandings(view, scan);
  const chosen = chooseCase(scan, plans[asked], { asked, isFixed: question.plan !== undefined });
  const considered = describeOffer(scan, plans, chosen);
  const verdict = decideVerdict(plans[asked], findBestChance(scan, asked).probability, {
    clutter: !place.isClutterKnown,
    path: place.routes.some(isLost),
    isBelowClass: isBelowClass(view, scan.links[chosen.height], considered.heightAglM),
  });
  const needsHeight = verdict === "serviceable-at-height" || verdict === "survey-first";
  return {
    verdict,
    likelihood: findLikelihood(verdict, considered.probability),
    leastHeightAglM: needsHeight ? considered.heightAglM : null,
    plans,
    offers: listOffers(scan, plans),
    considered,
    asked,
  };
}

function isBelowClass({ scene }: CpeView, link: RatedLink | undefined, rxHeightAglM: number): boolean {
  if (!link) return false;
  const { route, sender } = link.level.arrival;
  const heights = { txHeightAglM: sender.heightAglM, rxHeightAglM };
  return route.isKnown && passesBelowClass(route.path, heights, scene.effectiveEarthRadiusM);
}

/** A mast in range that may serve the place, for all that is known. */
function isLost({ isKnown, station }: Route): boolean {
  return !isKnown && station.site !== null;
}
