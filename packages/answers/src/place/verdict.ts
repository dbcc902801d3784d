import { findHeldRates, findRatesNow, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { findBestLink, findStanding, planProbabilities } from "../reception/standing.ts";
import type { CpeView } from "../scene/scene.ts";

export type Verdict = "serviceable" | "serviceable-at-height" | "survey-first" | "not-serviceable" | "not-known";

/** Expected outcome of a survey. */
export type Likelihood = "likely" | "unlikely";

/** Probabilities between which a survey decides. Common practice, no source. */
export const SERVICEABLE_PROBABILITY = 0.9;
export const SURVEY_PROBABILITY = 0.4;

/** Probability from which a survey is likely to find service. More likely than not. */
const LIKELY_PROBABILITY = 0.5;

const HEIGHT_STEP_M = 0.5;

/** Chances of one plan at a place. */
export interface PlanStanding {
  plan: string;
  /** That it holds at the height asked for. */
  probability: number;
  /** Least height from the one asked for on, from which it holds there and at every taller step; null: none does. */
  leastHeightAglM: number | null;
}

/** The heights that a CPE may be mounted at, the one asked for first, in steps up to the greatest. */
export function listHeights(heightAglM: number, greatestM: number): number[] {
  const steps = Math.max(0, Math.floor((greatestM - heightAglM) / HEIGHT_STEP_M + 1e-9));
  return Array.from({ length: steps + 1 }, (_, step) => heightAglM + step * HEIGHT_STEP_M);
}

/** Every plan's chances at every height, by height and plan, and the link that they are of. */
export interface HeightScan {
  heights: number[];
  probabilities: number[][];
  links: (RatedLink | undefined)[];
}

/** @param now the link at the first of the heights. */
export function scanHeights(
  view: CpeView,
  place: Place,
  heights: number[],
  now: RatedLink,
  sectors?: ReadonlySet<string>,
): HeightScan {
  const links = heights.map((heightAglM, index) =>
    index === 0 ? now : findBestLink(view, place, findStanding(view, place, heightAglM, sectors)),
  );
  return { heights, links, probabilities: links.map((link) => planProbabilities(view, link)) };
}

/** Every plan of the request, in its order. Loss is not monotone in height, so every taller step is looked at. */
export function planStandings({ request }: CpeView, { heights, probabilities }: HeightScan): PlanStanding[] {
  return request.plans.map(({ id }, plan) => {
    const holds = (_: number, index: number) => probabilities[index][plan] >= SERVICEABLE_PROBABILITY;
    const lastFailure = heights.findLastIndex((height, index) => !holds(height, index));
    return { plan: id, probability: probabilities[0][plan], leastHeightAglM: heights[lastFailure + 1] ?? null };
  });
}

/** A plan at a height of the mount, with its chance, the planned rates and the rates now of the link there. */
export interface PlanOfferAt {
  plan: string;
  heightAglM: number;
  probability: number;
  downMbps: number;
  upMbps: number;
  downNowMbps: number;
  upNowMbps: number;
}

/** Offers of the plans that hold at some height, the best plan first, each at the least height from which it holds. */
export function listOffers(scan: HeightScan, plans: readonly PlanStanding[]): PlanOfferAt[] {
  return plans.flatMap(({ leastHeightAglM }, plan) => {
    const height = leastHeightAglM === null ? -1 : scan.heights.indexOf(leastHeightAglM);
    return scan.links[height] ? [describeOffer(scan, plans, { plan, height })] : [];
  });
}

/** Describes a case with the rates of its link. */
export function describeOffer(
  { heights, links, probabilities }: HeightScan,
  plans: readonly PlanStanding[],
  { plan, height }: ConsideredCase,
): PlanOfferAt {
  const link = links[height];
  const none = { downMbps: 0, upMbps: 0, downNowMbps: 0, upNowMbps: 0 };
  const rates = link ? { ...findHeldRates(link), ...findRatesNow(link) } : none;
  return { plan: plans[plan].plan, heightAglM: heights[height], probability: probabilities[height][plan], ...rates };
}

/** Plan and height, by their places in the scan, that an answer is about. */
export interface ConsideredCase {
  plan: number;
  height: number;
}

/**
 * The case that an answer is about: the height asked for where a plan holds there, else the least height that gives the
 * plan asked for the best chance it can have; at it the best plan that holds, else the one asked for.
 * @param asked number of the plan asked for, or of the cheapest.
 * @param isFixed true where no better plan may take its place.
 */
export function chooseCase(
  { heights, probabilities }: HeightScan,
  { leastHeightAglM }: PlanStanding,
  { asked, isFixed }: { asked: number; isFixed: boolean },
): ConsideredCase {
  const firstFrom = (least: number) => probabilities.findIndex((ofPlans) => ofPlans[asked] >= least);
  const holdsHere = probabilities[0][asked] >= SERVICEABLE_PROBABILITY;
  const found = leastHeightAglM === null ? -1 : heights.indexOf(leastHeightAglM);
  const heightsFound = holdsHere ? [0] : [found, firstFrom(LIKELY_PROBABILITY), firstFrom(SURVEY_PROBABILITY)];
  const height = heightsFound.find((at) => at >= 0) ?? 0;
  const best = probabilities[height].findIndex((probability) => probability >= SERVICEABLE_PROBABILITY);
  return { plan: isFixed || best < 0 ? asked : best, height };
}

/** Parts of what matters that are not known. */
export interface Unknowns {
  clutter: boolean;
  /** True where the way from some mast in range is not known. */
  path: boolean;
  /** True where the line passes below the height of a land-cover class that nobody measured. */
  isBelowClass: boolean;
}

/**
 * The verdict on a plan. While it is not known what stands on the ground no answer is better than a survey; while the way
 * from a mast in range is not known, none is a plain no.
 * @param best its greatest probability at any height.
 */
export function decideVerdict(
  { probability, leastHeightAglM }: PlanStanding,
  best: number,
  unknown: Unknowns,
): Verdict {
  if (best < SURVEY_PROBABILITY) return unknown.path ? "not-known" : "not-serviceable";
  if (unknown.clutter || unknown.isBelowClass) return "survey-first";
  if (probability >= SERVICEABLE_PROBABILITY) return "serviceable";
  return leastHeightAglM === null ? "survey-first" : "serviceable-at-height";
}

/** Expected outcome of the survey that a verdict asks for; null where it asks for none. */
export function findLikelihood(verdict: Verdict, probability: number): Likelihood | null {
  if (verdict !== "survey-first") return null;
  return probability >= LIKELY_PROBABILITY ? "likely" : "unlikely";
}
