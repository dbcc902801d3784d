import {
  CLUTTER_UNKNOWN,
  type Coverage,
  listMapLaws,
  type Warning,
  warnOfCanopy,
  warnOfMethod,
  warnOfMount,
} from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";

const AT = "/model/clutter";

/** Unknown clutter, assumptions about known clutter, and models outside their valid range. */
export function listModelWarnings(
  { model, terrain, cpe }: CoverageRequest,
  catalogue: TerrainCatalogue,
  coverage: Coverage,
): Warning[] {
  const kinds = catalogue.sets.filter(({ name }) => terrain.sets.includes(name)).map(({ kind }) => kind);
  const highestGhz = Math.max(...coverage.links.map(({ frequencyGhz }) => frequencyGhz));
  return [
    ...("class" in model.clutter && model.clutter.class === "unknown" ? [CLUTTER_UNKNOWN] : []),
    ...coverWarnings(coverage),
    ...warnOfCanopy(model, kinds),
    ...warnOfMount(cpe, model),
    ...warnOfMethod(model, highestGhz, listMapLaws({ model, cpe }, highestGhz, isMastAmong(coverage.links))),
  ];
}

function coverWarnings({ counts, unknownClutterCodes, rareClutterHeights }: Coverage): Warning[] {
  const warnings = unknownClutterCodes.map(({ code, cells }) => ({
    code: "clutter_code_unknown",
    pointer: `${AT}/landCover`,
    detail: `the legend has no class ${code}, which ${cells} cells have: trees and buildings there are not known`,
  }));
  for (const { kind, cells, highestM } of rareClutterHeights) {
    const detail = `${kind} of up to ${Math.round(highestM)} m stand on ${cells} cells and are counted: check that the heights are metres above ground`;
    warnings.push({
      code: "clutter_height_rare",
      pointer: `${AT}/${kind === "trees" ? "canopy" : "buildings"}`,
      detail,
    });
  }
  if (!counts.clutterNotKnown) return warnings;
  const detail = `trees and buildings are not known on ${counts.clutterNotKnown} cells of the area: survey there`;
  return [...warnings, { code: "clutter_not_covered", pointer: AT, detail }];
}

function isMastAmong(links: Coverage["links"]): boolean {
  return links.some(({ down }) => down.after.some(({ term, db }) => term === "clutter-mast" && db < 0));
}
