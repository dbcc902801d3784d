import { type Coverage, TERRAIN_MAY_BE_SURFACE, type Warning, warnOfRule, warnOfTiming } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { findAreaWarnings } from "./area-shapes.ts";
import { listModelWarnings } from "./model-warnings.ts";
import { listSubscriberWarnings } from "./subscriber-warnings.ts";

/** Everything that makes the result less than it may seem. */
export function listWarnings(request: CoverageRequest, catalogue: TerrainCatalogue, coverage: Coverage): Warning[] {
  return [
    ...findAreaWarnings(request),
    ...listModelWarnings(request, catalogue, coverage),
    ...listTerrainWarnings(catalogue, coverage),
    ...listRuleWarnings(request),
    ...loadWarnings(request),
    ...listScanWarnings(coverage),
    ...listTimingWarnings(request),
    ...listSubscriberWarnings(request, coverage),
  ];
}

function listTerrainWarnings(catalogue: TerrainCatalogue, coverage: Coverage): Warning[] {
  const pointer = "/terrain/sets";
  const warnings = coverage.terrain.some(({ kind }) => kind !== "bare") ? [TERRAIN_MAY_BE_SURFACE] : [];
  const filled = coverage.terrain.reduce((sum, { filledCells }) => sum + filledCells, 0);
  if (filled > 0) warnings.push({ code: "voids_filled", pointer: "/terrain/fillVoids", detail: `${filled} cells` });
  for (const { code, detail } of coverage.terrain.flatMap(({ flags }) => flags))
    warnings.push({ code, pointer, detail });
  for (const { name, reason } of catalogue.refused) {
    warnings.push({ code: "terrain_refused", pointer, detail: `${name}: ${reason}` });
  }
  return warnings;
}

function listRuleWarnings({ sectors, cpe }: CoverageRequest): Warning[] {
  const ofSectors = sectors.flatMap(({ rule }, index) => warnOfRule(rule, `/sectors/${index}/rule`));
  return [...ofSectors, ...warnOfRule(cpe.rule, "/cpe/rule")];
}

function loadWarnings(request: CoverageRequest): Warning[] {
  if (request.sectors.length > 1) return [];
  const detail = "one sector only: speeds assume no other traffic in it";
  return [{ code: "unloaded", pointer: "/sectors", detail }];
}

/** Each finding once, however many sectors the scan serves. */
function listScanWarnings({ noise }: Coverage): Warning[] {
  const byText = new Map(
    noise.flatMap(({ findings }) => findings).map((finding) => [JSON.stringify(finding), finding]),
  );
  return [...byText.values()];
}

function listTimingWarnings(request: CoverageRequest): Warning[] {
  const groups = new Set(request.sectors.map(({ timingGroup }) => timingGroup));
  const unstated = warnOfTiming(request);
  if (groups.size === 1) return unstated;
  const detail = "sectors of several timing groups: interference between their subscribers is not computed";
  return [...unstated, { code: "subscriber_to_subscriber_not_computed", pointer: "/sectors", detail }];
}
