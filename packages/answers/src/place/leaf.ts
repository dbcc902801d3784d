import type { PlanSpec } from "@fellmark/network";
import { heldPlan, planProbability, type RatedLink } from "../reception/margins.ts";
import type { Place } from "../reception/place.ts";
import { placeAt } from "../reception/place-at.ts";
import { bestLink, standingAt } from "../reception/standing.ts";
import { otherLeafOf, viewOf } from "../scene/kit-view.ts";
import type { KitView } from "../scene/scene.ts";
import { SERVICEABLE_PROBABILITY, SURVEY_PROBABILITY } from "./verdict.ts";

/** How a place stands in one season. */
export interface LeafStanding {
  /** The best plan that holds both ways with the margins. */
  plan: string | null;
  /** That the plan in question holds. */
  probability: number;
}

/** What a place is asked at. */
interface LeafQuestion {
  plan: PlanSpec;
  heightAglM: number;
  sectors: ReadonlySet<string> | undefined;
}

/** Both seasons, where trees stand at an end of the best link and leaves change its plan or whether to survey; else null. */
export function leafOf(
  view: KitView,
  place: Place,
  best: RatedLink,
  question: LeafQuestion,
): { in: LeafStanding; out: LeafStanding } | null {
  const { link } = best.level;
  const amongTrees = [place.clutter, view.scene.endsOf(link.sector).mast].some(({ kind }) => kind === "trees");
  if (!amongTrees) return null;
  const other = viewOf(otherLeafOf(view.scene), view.request.kit);
  const { terrain } = view.scene;
  const elsewhen = terrain && place.at ? placeAt(other, terrain.ground, place.at, question.heightAglM) : place;
  const standing = standingAt(other, elsewhen, question.heightAglM, question.sectors);
  const here = leafStanding(view, best, question);
  const there = leafStanding(other, bestLink(other, elsewhen, standing), question);
  if (here.plan === there.plan && bandOf(here) === bandOf(there)) return null;
  return view.request.model.leaf === "in" ? { in: here, out: there } : { in: there, out: here };
}

function leafStanding({ request }: KitView, link: RatedLink | undefined, { plan }: LeafQuestion): LeafStanding {
  if (!link) return { plan: null, probability: 0 };
  const { plans } = request;
  return { plan: plans[heldPlan(plans, link) - 1]?.id ?? null, probability: planProbability(plan, link) };
}

function bandOf({ probability }: LeafStanding): number {
  return Number(probability >= SERVICEABLE_PROBABILITY) + Number(probability >= SURVEY_PROBABILITY);
}
