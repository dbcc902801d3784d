import type { Coverage } from "@fellmark/coverage";
import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import { END_CLUTTER_MAX_GHZ } from "@fellmark/propagation";
import type { TerrainCatalogue, TerrainKind } from "@fellmark/terrain";
import type { Warning } from "./warnings.ts";

const AT = "/model/clutter";

/** P.1812-6 is stated up to this frequency, GHz. Source: ITU-R P.1812-6, section 1. */
const P1812_MAX_GHZ = 6;

/** What is not known of trees and houses, and what was made of what is. */
export function clutterWarnings(
  { model, terrain }: CoverageRequest,
  catalogue: TerrainCatalogue,
  coverage: Coverage,
): Warning[] {
  const { clutter } = model;
  if ("class" in clutter) return clutter.class === "unknown" ? [UNKNOWN] : [];
  const kinds = catalogue.sets.filter(({ name }) => terrain.sets.includes(name)).map(({ kind }) => kind);
  return [...coverWarnings(coverage), ...(clutter.canopy === undefined ? [] : canopyWarnings(kinds))];
}

const UNKNOWN: Warning = {
  code: "clutter_unknown",
  pointer: AT,
  detail: "what stands on the ground is not known: survey before anything is sold or climbed",
};

function coverWarnings({ counts, unknownClutterCodes }: Coverage): Warning[] {
  const warnings = unknownClutterCodes.map(({ code, cells }) => ({
    code: "clutter_code_unknown",
    pointer: `${AT}/landCover`,
    detail: `the legend has no class ${code}, which ${cells} cells have: what stands there is not known`,
  }));
  if (!counts.clutterNotKnown) return warnings;
  const detail = `what stands on ${counts.clutterNotKnown} cells of the area is not known: survey there`;
  return [...warnings, { code: "clutter_not_covered", pointer: AT, detail }];
}

function canopyWarnings(kinds: readonly TerrainKind[]): Warning[] {
  const pointer = `${AT}/canopy`;
  if (kinds.includes("surface")) {
    const detail = "the terrain is a surface: the canopy was taken off it, and is not added again";
    return [{ code: "canopy_on_surface", pointer, detail }];
  }
  if (!kinds.includes("unknown")) return [];
  const detail = "the terrain may be a surface that holds the canopy already; declare its kind in terrain.json";
  return [{ code: "canopy_perhaps_twice", pointer, detail }];
}

/** Where a model is used beyond what its source states, or is changed by own measurements. */
export function methodWarnings(model: ModelSpec, { links }: Coverage): Warning[] {
  const highestGhz = Math.max(...links.map(({ frequencyGhz }) => frequencyGhz));
  const warnings: Warning[] = [];
  const add = (code: string, pointer: string, detail: string) => warnings.push({ code, pointer, detail });
  if (model.method === "p1812" && highestGhz > P1812_MAX_GHZ) {
    add("method_extrapolated", "/model/method", `ITU-R P.1812-6 is stated to ${P1812_MAX_GHZ} GHz`);
  }
  if (mayMeetClutter(model, links) && highestGhz > END_CLUTTER_MAX_GHZ) {
    const source = `its source (ITU-R P.2108-1 section 3.1) is stated to ${END_CLUTTER_MAX_GHZ} GHz`;
    add("clutter_extrapolated", AT, `the clutter loss is extrapolated: ${source}`);
  }
  if (model.correction) {
    const { version, validation } = model.correction;
    const what = validation.applied ? "corrects every loss" : "is not used, since it did not help on links left out";
    add(
      validation.applied ? "correction_applied" : "correction_not_applied",
      "/model/correction",
      `${version} ${what}`,
    );
  }
  return warnings;
}

/** Whether the loss of an antenna among clutter is part of the result. */
function mayMeetClutter({ method, clutter }: ModelSpec, links: Coverage["links"]): boolean {
  if (method === "p1812") return false;
  if (!("class" in clutter)) return true;
  return links.some(({ down }) => down.after.some(({ term, db }) => term.startsWith("clutter-") && db !== 0));
}
