import type { NetworkDocument } from "../network-document.ts";
import { bearingFindings } from "./bearing-findings.ts";
import type { Finding, KnownGround } from "./finding.ts";
import { gainFindings } from "./gain-findings.ts";
import { heightFindings } from "./height-findings.ts";
import { placeFindings } from "./place-findings.ts";

/**
 * What in a network looks like a slip: feet, heights above sea, magnetic azimuths, swapped coordinates, signs, gains.
 * Each names its row and the likely cause; nothing is repaired. A sector without a channel is refused by the schema.
 */
export function networkFindings(network: NetworkDocument, known: KnownGround = {}): Finding[] {
  return [
    ...placeFindings(network),
    ...heightFindings(network, known),
    ...bearingFindings(network),
    ...gainFindings(network),
    ...idleSites(network),
  ];
}

function idleSites({ sites, sectors }: NetworkDocument): Finding[] {
  const busy = new Set(sectors.map(({ site }) => site));
  return sites.flatMap(({ id }, index): Finding[] =>
    busy.has(id)
      ? []
      : [
          {
            code: "site-without-sector",
            pointer: `/sites/${index}`,
            row: id,
            detail: "no sector stands on this site",
            likelyCause: "a sector's row is missing or names another site",
            suggestion: "add the sector or remove the site",
            severity: "hint",
          },
        ],
  );
}
