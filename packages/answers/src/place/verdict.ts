import type { Place } from "../reception/place.ts";
import { bestLink, planProbabilities, standingAt } from "../reception/standing.ts";
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
export function heightsFrom(heightAglM: number, greatestM: number): number[] {
  const steps = Math.max(0, Math.floor((greatestM - heightAglM) / HEIGHT_STEP_M + 1e-9));
  return Array.from({ length: steps + 1 }, (_, step) => heightAglM + step * HEIGHT_STEP_M);
}

/** What every plan's chances are at every height, by height and plan. */
export interface HeightScan {
  heights: number[];
  probabilities: number[][];
}

/** @param now the plans' chances at the first of the heights. */
export function scanHeights(
  view: CpeView,
  place: Place,
  heights: number[],
  now: number[],
  sectors?: ReadonlySet<string>,
): HeightScan {
  const probabilities = heights.map((heightAglM, index) => {
    if (index === 0) return now;
    return planProbabilities(view, bestLink(view, place, standingAt(view, place, heightAglM, sectors)));
  });
  return { heights, probabilities };
}

/** Every plan of the request, in its order. Loss is not monotone in height, so every taller step is looked at. */
export function planStandings({ request }: CpeView, { heights, probabilities }: HeightScan): PlanStanding[] {
  return request.plans.map(({ id }, plan) => {
    const holds = (_: number, index: number) => probabilities[index][plan] >= SERVICEABLE_PROBABILITY;
    const lastFailure = heights.findLastIndex((height, index) => !holds(height, index));
    return { plan: id, probability: probabilities[0][plan], leastHeightAglM: heights[lastFailure + 1] ?? null };
  });
}

/** Whether part of what matters is not known. */
export interface Unknowns {
  clutter: boolean;
  /** Whether the way from some mast in range is not known. */
  path: boolean;
}

/**
 * The verdict on a plan. While it is not known what stands on the ground no answer is better than a survey; while the way
 * from a mast in range is not known, none is a plain no.
 * @param best its greatest probability at any height.
 */
export function verdictOf({ probability, leastHeightAglM }: PlanStanding, best: number, unknown: Unknowns): Verdict {
  if (best < SURVEY_PROBABILITY) return unknown.path ? "not-known" : "not-serviceable";
  if (unknown.clutter) return "survey-first";
  if (probability >= SERVICEABLE_PROBABILITY) return "serviceable";
  return leastHeightAglM === null ? "survey-first" : "serviceable-at-height";
}
