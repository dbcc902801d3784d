import {
  CLUTTER_UNKNOWN,
  canopyWarnings,
  isClutterStated,
  isStatistical,
  methodWarnings,
  ruleWarnings,
  TERRAIN_MAY_BE_SURFACE,
  type Warning,
} from "@fellmark/coverage";
import type { Place } from "../reception/place.ts";
import type { CpeView } from "../scene/scene.ts";
import type { AnswerLink } from "./answer-link.ts";

export function warningsOf(view: CpeView, place: Place, links: readonly AnswerLink[]): Warning[] {
  const { model } = view.request;
  return [
    ...clutterWarnings(view, place),
    ...(links.length === 0 ? [] : methodWarnings(model, highestGhz(view, links), meetsClutter(view, links))),
    ...terrainWarnings(view),
    ...rulesOf(view, links).flatMap((rule) => ruleWarnings(rule, "/sectors")),
  ];
}

function clutterWarnings({ request: { model } }: CpeView, place: Place): Warning[] {
  if (!isClutterStated(model)) return [CLUTTER_UNKNOWN];
  if (place.isClutterKnown) return [];
  const detail = "the rasters of clutter do not tell what stands at this place: survey it";
  return [{ code: "clutter_not_covered", pointer: "/model/clutter", detail }];
}

function highestGhz(view: CpeView, links: readonly AnswerLink[]): number {
  const told = view.links.filter(({ sector: { id } }) => links.some(({ sector }) => sector === id));
  return Math.max(...told.map(({ frequencyGhz }) => frequencyGhz));
}

/** Statistics of built-up country have another source, which reaches far enough. */
function meetsClutter({ request: { model } }: CpeView, links: readonly AnswerLink[]): boolean {
  if (isStatistical(model)) return false;
  return links.some(({ down }) => down.some(({ term, db }) => term.startsWith("clutter-") && db !== 0));
}

function terrainWarnings({ scene, request: { model } }: CpeView): Warning[] {
  const mosaic = scene.terrain?.ground.mosaic;
  if (!mosaic) return [];
  const kinds = mosaic.filesUsed.map(({ kind }) => kind);
  return [...(mosaic.kind === "bare" ? [] : [TERRAIN_MAY_BE_SURFACE]), ...canopyWarnings(model, kinds)];
}

/** The rules that bind the links told, each once. */
function rulesOf({ request }: CpeView, links: readonly AnswerLink[]): (string | null)[] {
  if (links.length === 0) return [];
  const told = new Set(links.map(({ sector }) => sector));
  return [...new Set([...request.sectors.flatMap(({ id, rule }) => (told.has(id) ? [rule] : [])), request.cpe.rule])];
}
