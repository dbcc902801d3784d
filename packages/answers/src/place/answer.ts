import { type ClutterAround, readGroundHeight, UNKNOWN_CLUTTER, type Warning } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import type { CpeSpec } from "@fellmark/network";
import type { ProfileToDraw } from "@fellmark/picture";
import { InputError } from "@fellmark/units";
import { passesBelowClass } from "../reception/in-the-way.ts";
import { findHeldPlan, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { findClutterAround, placeAt } from "../reception/place-at.ts";
import type { Route } from "../reception/route.ts";
import { findStanding, rateLink, type Standing, sortStrongestFirst } from "../reception/standing.ts";
import { type AnswerInputs, listInputs } from "../scene/answer-inputs.ts";
import { findView } from "../scene/cpe-view.ts";
import type { AnswerScene, CpeView, SceneTerrain } from "../scene/scene.ts";
import { type AnswerLink, answerLink, linkContext } from "./answer-link.ts";
import { listWarnings } from "./answer-warnings.ts";
import { buildProfileToDraw } from "./profile-to-draw.ts";
import { writeReason } from "./reason.ts";
import { compareSeasons, type SeasonOutcome } from "./seasons.ts";
import {
  decideVerdict,
  listHeights,
  listOffers,
  type PlanOfferAt,
  type PlanStanding,
  planStandings,
  SERVICEABLE_PROBABILITY,
  scanHeights,
  type Verdict,
} from "./verdict.ts";

export type { Verdict };

/** True where a place can be served, with which plan, and what it would take. */
export interface Answer {
  version: 1;
  at: [number, number] | null;
  verdict: Verdict;
  heightAglM: number;
  leastHeightAglM: number | null;
  /** That the plan asked for, or the cheapest, holds at this height. */
  probability: number | null;
  /** The best plan that holds both ways with the margins. */
  plan: string | null;
  reason: string;
  /** Of the strongest sectors, the strongest first. */
  links: AnswerLink[];
  /** Every plan, the best first. */
  plans: PlanStanding[];
  /** The plans that hold at some height of the mount, the best first, each at its least height. */
  offers: PlanOfferAt[];
  /** What stands at the CPE and at the mast of each link. */
  clutter: { known: boolean; mast: ClutterAround[]; cpe: ClutterAround | null };
  /** With and without leaves, where trees decide the plan or whether to survey. */
  foliage: { leafOn: SeasonOutcome; leafOff: SeasonOutcome } | null;
  inputs: AnswerInputs;
  warnings: Warning[];
  /** The way to the strongest sector, where it was asked for. */
  profile?: ProfileToDraw;
}

/** What is asked about a place beside the place itself. */
export interface PlaceQuestion {
  /** Another CPE than the request's. */
  cpe?: Partial<CpeSpec>;
  heightAglM?: number;
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
export async function answerAt(scene: AnswerScene, at: LonLat, question: PlaceQuestion = {}): Promise<Answer> {
  return answerInRange(scene, at, question) ?? (await answerOutOfRange(scene, at, question));
}

/** Null where no site is in service range. */
export function answerInRange(scene: AnswerScene, at: LonLat, question: PlaceQuestion): Answer | null {
  const { terrain } = scene;
  if (!terrain) throw new TypeError("a scene without terrain answers no places");
  const view = findView(scene, question.cpe);
  const greatestM = Math.max(findGreatestHeight(view, question), chooseHeight(view, question));
  const place = placeAt(view, terrain.ground, at, greatestM);
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

function writeOutOfRange({ request: { area } }: CpeView): string {
  return `No sector is within the service radius of ${(area.radiusM / 1000).toFixed(1)} km.`;
}

/** What is said where no link can be told. */
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
    heightAglM: chooseHeight(view, question),
    leastHeightAglM: null,
    probability: null,
    plan: null,
    reason: verdict === "not-known" ? "The terrain on the way is not known." : writeOutOfRange(view),
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
  const asked = findAskedPlan(view, question);
  const sectors = question.sectors && new Set(question.sectors);
  const { heightAglM } = now.cpe;
  const heights = listHeights(heightAglM, Math.max(heightAglM, findGreatestHeight(view, question)));
  const judgement = judge(view, place, best, { asked, sectors, heights });
  const context = linkContext(view, heightAglM);
  const answerLinks = links.map((link) => answerLink(context, link));
  const plan = request.plans[findHeldPlan(request.plans, best) - 1]?.id ?? null;
  const said = { ...judgement, plan: request.plans[asked], heightAglM, clutterKnown: place.isClutterKnown };
  return {
    ...listFacts(view, place),
    verdict: judgement.verdict,
    heightAglM,
    leastHeightAglM: judgement.leastHeightAglM,
    probability: judgement.probability,
    plan,
    reason: writeReason(best, answerLinks[0], said),
    links: answerLinks,
    plans: judgement.plans,
    offers: judgement.offers,
    clutter: {
      known: place.isClutterKnown,
      mast: told.map(({ sender }) => (sender.sector ? scene.endsOf(sender.sector).mast : UNKNOWN_CLUTTER)),
      cpe: findCpeClutter(place),
    },
    foliage: compareSeasons(view, place, best, { heightAglM, plan: request.plans[asked], sectors }),
    warnings: listWarnings(view, place, answerLinks),
    ...(question.withProfile && {
      profile: buildProfileToDraw(view, place, { arrival: best.level.arrival, link: answerLinks[0], heightAglM }),
    }),
  };
}

interface Judgement extends PlanStanding {
  verdict: Verdict;
  plans: PlanStanding[];
  offers: PlanOfferAt[];
  /** Chance of the plan asked for at its least height; null where it holds nowhere or at the height asked for. */
  chanceAtLeastHeight: number | null;
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

function judge(
  view: CpeView,
  place: Place,
  best: RatedLink,
  { asked, heights, sectors }: { asked: number; heights: number[]; sectors: ReadonlySet<string> | undefined },
): Judgement {
  const scan = scanHeights(view, place, heights, best, sectors);
  const plans = planStandings(view, scan);
  const standing = plans[asked];
  const atVerdict = Math.max(0, heights.indexOf(standing.leastHeightAglM ?? heights[0]));
  const verdict = decideVerdict(standing, Math.max(...scan.probabilities.map((ofPlans) => ofPlans[asked])), {
    clutter: !place.isClutterKnown,
    path: place.routes.some(isLost),
    isBelowClass: isBelowClass(view, scan.links[atVerdict], heights[atVerdict]),
  });
  const holdsHere = standing.probability >= SERVICEABLE_PROBABILITY;
  return {
    ...standing,
    leastHeightAglM: holdsHere ? null : standing.leastHeightAglM,
    chanceAtLeastHeight: holdsHere || standing.leastHeightAglM === null ? null : scan.probabilities[atVerdict][asked],
    verdict,
    plans,
    offers: listOffers(scan, plans),
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
