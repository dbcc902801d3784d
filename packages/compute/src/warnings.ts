import type { Coverage } from "@fellmark/coverage";
import type { CoverageRequest } from "@fellmark/network";
import { POWER_RULES } from "@fellmark/radio";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { clutterWarnings, methodWarnings } from "./clutter-warnings.ts";
import { subscriberWarnings } from "./subscriber-warnings.ts";

/** Something a reader of the result must know; it points to the field of the request that it concerns. */
export interface Warning {
  code: string;
  pointer: string;
  detail: string;
}

/** Everything that makes the result less than it may seem. */
export function warningsOf(request: CoverageRequest, catalogue: TerrainCatalogue, coverage: Coverage): Warning[] {
  return [
    ...clutterWarnings(request, catalogue, coverage),
    ...methodWarnings(request.model, coverage),
    ...terrainWarnings(catalogue, coverage),
    ...ruleWarnings(request),
    ...loadWarnings(request),
    ...scanWarnings(coverage),
    ...timingWarnings(request),
    ...subscriberWarnings(request, coverage),
  ];
}

function terrainWarnings(catalogue: TerrainCatalogue, coverage: Coverage): Warning[] {
  const pointer = "/terrain/sets";
  const warnings: Warning[] = [];
  if (coverage.terrain.some(({ kind }) => kind !== "bare")) {
    const detail = "the heights may be those of tree tops and roofs, under masts and subscribers too";
    warnings.push({ code: "terrain_may_be_surface", pointer, detail });
  }
  const filled = coverage.terrain.reduce((sum, { filledCells }) => sum + filledCells, 0);
  if (filled > 0) warnings.push({ code: "voids_filled", pointer: "/terrain/fillVoids", detail: `${filled} cells` });
  for (const { code, detail } of coverage.terrain.flatMap(({ flags }) => flags))
    warnings.push({ code, pointer, detail });
  for (const { name, reason } of catalogue.refused) {
    warnings.push({ code: "terrain_refused", pointer, detail: `${name}: ${reason}` });
  }
  return warnings;
}

function ruleWarnings(request: CoverageRequest): Warning[] {
  const named: [string | null, string][] = [
    ...request.sectors.map((sector, index): [string | null, string] => [sector.rule, `/sectors/${index}/rule`]),
    [request.kit.rule, "/kit/rule"],
  ];
  return named.flatMap(([id, pointer]) => {
    const rule = POWER_RULES.find((row) => row.id === id);
    if (!rule || rule.verified) return [];
    const detail = `"${rule.id}" was not checked against its text: check your licence and local rules`;
    return [{ code: "rule_not_verified", pointer, detail }];
  });
}

function loadWarnings(request: CoverageRequest): Warning[] {
  if (request.sectors.length > 1) return [];
  const detail = "a single sector is rated without load: speeds are those of an idle sector";
  return [{ code: "unloaded", pointer: "/sectors", detail }];
}

/** Each finding once, however many sectors the scan serves. */
function scanWarnings({ noise }: Coverage): Warning[] {
  const byText = new Map(
    noise.flatMap(({ findings }) => findings).map((finding) => [JSON.stringify(finding), finding]),
  );
  return [...byText.values()];
}

function timingWarnings(request: CoverageRequest): Warning[] {
  const groups = new Set(request.sectors.map(({ timingGroup }) => timingGroup));
  if (groups.size === 1) return [];
  const detail = "sectors of several timing groups: subscribers also hit each other, which is not computed";
  return [{ code: "subscriber_to_subscriber_not_computed", pointer: "/sectors", detail }];
}
