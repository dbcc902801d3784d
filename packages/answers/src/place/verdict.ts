import { findHeldRates, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { findBestLink, findStanding, planProbabilities } from "../reception/standing.ts";
import type { CpeView } from "../scene/scene.ts";

export type Verdict = "serviceable" | "serviceable-at-height" | "survey-first" | "not-serviceable" | "not-known";

/** Probabilities between which a survey decides. Common practice, no source. */
export const SERVICEABLE_PROBABILITY = 0.9;
export const SURVEY_PROBABILITY = 0.4;

const HEIGHT_STEP_M = 0.5;

/** How one plan stands at a place. */
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

/** A plan that can be offered, at the least height from which it holds, with the speeds that hold there. */
export interface PlanOfferAt {
  plan: string;
  heightAglM: number;
  probability: number;
  downMbps: number;
  upMbps: number;
}

/** Offers of the plans that hold at some height, the best plan first. */
export function listOffers({ heights, links, probabilities }: HeightScan, plans: readonly PlanStanding[]) {
  return plans.flatMap(({ plan, leastHeightAglM }, number): PlanOfferAt[] => {
    const at = leastHeightAglM === null ? -1 : heights.indexOf(leastHeightAglM);
    const link = links[at];
    if (leastHeightAglM === null || !link) return [];
    return [{ plan, heightAglM: leastHeightAglM, probability: probabilities[at][number], ...findHeldRates(link) }];
  });
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
