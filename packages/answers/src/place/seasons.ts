import type { PlanSpec } from "@fellmark/network";
import { findHeldPlan, planProbability, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { buildPlace } from "../reception/place-at.ts";
import { findBestLink, findStanding } from "../reception/standing.ts";
import { findOtherSeason, findView } from "../scene/cpe-view.ts";
import type { CpeView } from "../scene/scene.ts";
import { SERVICEABLE_PROBABILITY, SURVEY_PROBABILITY } from "./verdict.ts";

/** Plans at a place in one season, at the height asked for. */
export interface SeasonOutcome {
  /** The best plan that holds both ways with the margins. */
  plan: string | null;
  /** Of the plan of the case considered. */
  probability: number;
}

/** Plan of the case considered, the height asked for, and the sectors that may serve. */
interface SeasonQuestion {
  plan: PlanSpec;
  heightAglM: number;
  sectors: ReadonlySet<string> | undefined;
  /** Service range; absent: that of the request. */
  radiusM?: number | undefined;
}

/** Both seasons, where trees stand at an end of the best link and leaves change its plan or whether to survey; else null. */
export function compareSeasons(
  view: CpeView,
  place: Place,
  best: RatedLink,
  question: SeasonQuestion,
): { leafOn: SeasonOutcome; leafOff: SeasonOutcome } | null {
  const { link } = best.level;
  const atEnds = [place.clutter, view.scene.endsOf(link.sector).mast].some(({ kind }) => kind === "trees");
  if (!atEnds && best.level.arrival.loss.canopyLengthM === 0) return null;
  const other = findView(findOtherSeason(view.scene), view.request.cpe);
  const { terrain } = view.scene;
  const placeThen =
    terrain && place.at
      ? buildPlace(other, terrain.ground, place.at, { greatestHeightM: question.heightAglM, radiusM: question.radiusM })
      : place;
  const standing = findStanding(other, placeThen, question.heightAglM, question.sectors);
  const here = findSeasonOutcome(view, best, question);
  const there = findSeasonOutcome(other, findBestLink(other, placeThen, standing), question);
  if (here.plan === there.plan && findBand(here) === findBand(there)) return null;
  return view.request.model.foliage === "leaf-on" ? { leafOn: here, leafOff: there } : { leafOn: there, leafOff: here };
}

function findSeasonOutcome({ request }: CpeView, link: RatedLink | undefined, { plan }: SeasonQuestion): SeasonOutcome {
  if (!link) return { plan: null, probability: 0 };
  const { plans } = request;
  return { plan: plans[findHeldPlan(plans, link) - 1]?.id ?? null, probability: planProbability(plan, link) };
}

function findBand({ probability }: SeasonOutcome): number {
  return Number(probability >= SERVICEABLE_PROBABILITY) + Number(probability >= SURVEY_PROBABILITY);
}
