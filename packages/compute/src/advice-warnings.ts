import type { Advice, AdviceProblem, SectorAdvice, Warning } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";

/** Limits of the advice; pointers are those of the advice request. */
export function listAdviceWarnings(base: CoverageRequest, problem: AdviceProblem, advice: Advice): Warning[] {
  const warnings: Warning[] = [];
  const { clutter } = base.model;
  if (!("class" in clutter) || clutter.class === "unknown") {
    const detail = "trees and buildings are not known: levels may be far lower than assumed here";
    warnings.push({ code: "clutter_unknown", pointer: "/base/model/clutter", detail });
  }
  if (advice.isCutShort) {
    const detail = "the search ended at its limit: a better plan may exist";
    warnings.push({ code: "search_cut_short", pointer: "/base/sectors", detail });
  }
  for (const [index, sector] of advice.sectors.entries()) {
    const pointer = `/base/sectors/${index}`;
    warnings.push(...listPlaceWarnings(base, sector, pointer));
    if (problem.sectors[index].baseOnUp.some((share) => share > 0)) {
      const detail = `sectors of other timing groups transmit while "${sector.id}" receives`;
      warnings.push({ code: "not_synchronised", pointer: `${pointer}/timingGroup`, detail });
    }
    if (sector.chosen.isDfs && sector.chosen.fallback === null) {
      const detail = `"${sector.id}" would be on a radar channel with no clear channel to go to when a radar is found`;
      warnings.push({ code: "no_fallback", pointer: `${pointer}/channel`, detail });
    }
  }
  return warnings;
}

function listPlaceWarnings({ subscribers }: CoverageRequest, { id, places }: SectorAdvice, pointer: string): Warning[] {
  const known = subscribers.filter(({ sector }) => sector === id).length;
  const warnings: Warning[] = [];
  if (known > places) {
    const detail = `${known - places} of ${known} subscribers of "${id}" get no signal from it`;
    warnings.push({ code: "subscribers_not_reached", pointer: "/base/subscribers", detail });
  }
  if (places === 0) warnings.push({ code: "serves_no_place", pointer, detail: `"${id}" serves no place` });
  return warnings;
}
