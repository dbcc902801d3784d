import { END_CLUTTER_MAX_GHZ } from "@fellmark/propagation";
import { POWER_RULES } from "@fellmark/radio";
import { isClutterStated } from "../link/end-clutter.ts";
import type { AnswerLink } from "./answer-link.ts";
import type { KitView } from "./kit-view.ts";
import type { Place } from "./place.ts";

/** What makes an answer less than it may seem; points to the field of the request that it concerns. */
export interface AnswerWarning {
  code: string;
  pointer: string;
  detail: string;
}

export function warningsOf(view: KitView, place: Place, links: readonly AnswerLink[]): AnswerWarning[] {
  return [...clutterWarnings(view, place, links), ...terrainWarnings(view), ...ruleWarnings(view, links)];
}

function clutterWarnings(view: KitView, place: Place, links: readonly AnswerLink[]): AnswerWarning[] {
  const pointer = "/model/clutter";
  if (!isClutterStated(view.request.model)) {
    const detail = "what stands on the ground is not known: survey before anything is sold or climbed";
    return [{ code: "clutter_unknown", pointer, detail }];
  }
  if (!place.isClutterKnown) {
    const detail = "the rasters of clutter do not tell what stands at this place: survey it";
    return [{ code: "clutter_not_covered", pointer, detail }];
  }
  const isExtrapolated = links.some(({ sector, down }) => {
    const frequencyGhz = view.links.find(({ sector: { id } }) => id === sector)?.frequencyGhz ?? 0;
    return frequencyGhz > END_CLUTTER_MAX_GHZ && down.some(({ term, db }) => term.startsWith("clutter-") && db !== 0);
  });
  if (!isExtrapolated) return [];
  const detail = "the clutter loss is extrapolated: its source (ITU-R P.2108-1 section 3.1) is stated to 3 GHz";
  return [{ code: "clutter_extrapolated", pointer, detail }];
}

function terrainWarnings({ scene }: KitView): AnswerWarning[] {
  const kind = scene.terrain?.ground.mosaic.kind ?? "bare";
  if (kind === "bare") return [];
  const detail = "the heights may be those of tree tops and roofs, under masts and subscribers too";
  return [{ code: "terrain_may_be_surface", pointer: "/terrain/sets", detail }];
}

/** Of the rules that bind the links told, those whose text nobody read. */
function ruleWarnings({ request }: KitView, links: readonly AnswerLink[]): AnswerWarning[] {
  const told = new Set(links.map(({ sector }) => sector));
  const rules = new Set([
    ...request.sectors.flatMap(({ id, rule }) => (told.has(id) ? [rule] : [])),
    ...(links.length > 0 ? [request.kit.rule] : []),
  ]);
  return POWER_RULES.filter(({ id, verified }) => rules.has(id) && !verified).map(({ id }) => {
    const detail = `"${id}" was not checked against its text: check your licence and local rules`;
    return { code: "rule_not_verified", pointer: "/sectors", detail };
  });
}
