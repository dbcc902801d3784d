import type { CoverageRequest } from "../coverage-request.ts";
import type { NetworkDocument } from "../network-document.ts";
import { findBearingSlips } from "./bearing-findings.ts";
import { findChannelSlips } from "./channel-findings.ts";
import type { CheckedParts, Finding, TerrainFacts } from "./finding.ts";
import { findGainSlips } from "./gain-findings.ts";
import { findHeightSlips } from "./height-findings.ts";
import { findLevelSlips } from "./level-findings.ts";
import { placeFindings } from "./place-findings.ts";
import { findPlanSlips } from "./plan-findings.ts";
import { findPowerSlips } from "./power-findings.ts";
import { findTerrainSlips } from "./terrain-findings.ts";

/**
 * Finds values of a network that look like slips: feet, watts, swapped coordinates, signs, gains, masts in the sea.
 * Each names its field, its value and the likely meaning; nothing is repaired. Without terrain, fewer are found.
 */
export function findNetworkSlips(network: NetworkDocument, terrain?: TerrainFacts): Finding[] {
  const cpes = network.cpes.map((spec, index) => ({ pointer: `/cpes/${index}`, row: spec.id, spec }));
  return findSlips({ ...network, cpes }, terrain);
}

/** Finds the same in a coverage request. */
export function requestFindings(request: CoverageRequest, terrain?: TerrainFacts): Finding[] {
  const cpes = [{ pointer: "/cpe", row: "cpe", spec: request.cpe }];
  return findSlips({ ...request, cpes, radiusM: request.area.radiusM }, terrain);
}

function findSlips(parts: CheckedParts, terrain: TerrainFacts | undefined): Finding[] {
  return [
    ...placeFindings(parts),
    ...(terrain ? findTerrainSlips(parts, terrain) : []),
    ...findHeightSlips(parts, terrain),
    ...findPowerSlips(parts),
    ...findBearingSlips(parts),
    ...findChannelSlips(parts),
    ...findGainSlips(parts),
    ...findPlanSlips(parts),
    ...findLevelSlips(parts),
    ...findIdleSites(parts),
  ];
}

function findIdleSites({ sites, sectors }: CheckedParts): Finding[] {
  const busy = new Set(sectors.map(({ site }) => site));
  return sites.flatMap(({ id }, index): Finding[] =>
    busy.has(id)
      ? []
      : [
          {
            code: "site_without_sector",
            pointer: `/sites/${index}`,
            row: id,
            detail: `site ${id} has no sector`,
            likelyCause: "the row of a sector is missing or names another site",
            suggestion: "add the sector or remove the site",
            severity: "hint",
          },
        ],
  );
}
