import {
  CLUTTER_UNKNOWN,
  isClutterStated,
  type PartLaw,
  TERRAIN_MAY_BE_SURFACE,
  type Warning,
  warnOfCanopy,
  warnOfMethod,
  warnOfMount,
  warnOfRule,
  warnOfTiming,
} from "@fellmark/coverage";
import type { Place } from "../reception/place.ts";
import type { CpeView } from "../scene/scene.ts";
import type { AnswerLink } from "./answer-link.ts";

export function listWarnings(view: CpeView, place: Place, links: readonly AnswerLink[]): Warning[] {
  const { model } = view.request;
  return [
    ...warnOfClutter(view, place),
    ...(links.length === 0 ? [] : warnOfMethod(model, findHighestGhz(view, links), listLaws(links))),
    ...warnOfTerrain(view),
    ...warnOfMount(view.request.cpe, model),
    ...(links.length === 0 ? [] : warnOfTiming(view.request)),
    ...listRules(view, links).flatMap((rule) => warnOfRule(rule, "/sectors")),
  ];
}

function warnOfClutter({ request: { model } }: CpeView, place: Place): Warning[] {
  if (!isClutterStated(model)) return [CLUTTER_UNKNOWN];
  if (place.isClutterKnown) return [];
  const detail = "the clutter rasters do not cover this place: survey it";
  return [{ code: "clutter_not_covered", pointer: "/model/clutter", detail }];
}

function findHighestGhz(view: CpeView, links: readonly AnswerLink[]): number {
  const told = view.links.filter(({ sector: { id } }) => links.some(({ sector }) => sector === id));
  return Math.max(...told.map(({ frequencyGhz }) => frequencyGhz));
}

/** Laws of all links, each once. */
function listLaws(links: readonly AnswerLink[]): PartLaw[] {
  const laws = links.flatMap(({ clutterLaws }) => clutterLaws);
  return laws.filter((one, at) => laws.findIndex(({ part, law }) => part === one.part && law === one.law) === at);
}

function warnOfTerrain({ scene, request: { model } }: CpeView): Warning[] {
  const mosaic = scene.terrain?.ground.mosaic;
  if (!mosaic) return [];
  const kinds = mosaic.filesUsed.map(({ kind }) => kind);
  return [...(mosaic.kind === "bare" ? [] : [TERRAIN_MAY_BE_SURFACE]), ...warnOfCanopy(model, kinds)];
}

/** The rules that bind the links told, each once. */
function listRules({ request }: CpeView, links: readonly AnswerLink[]): (string | null)[] {
  if (links.length === 0) return [];
  const told = new Set(links.map(({ sector }) => sector));
  return [...new Set([...request.sectors.flatMap(({ id, rule }) => (told.has(id) ? [rule] : [])), request.cpe.rule])];
}
