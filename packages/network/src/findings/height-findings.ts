import type { SectorSpec } from "../coverage-request.ts";
import type { CheckedParts, Finding, FindingRow, TerrainFacts } from "./finding.ts";

/** Heights above which metres are rare for small providers; 30 m and 6 m written in feet lie above. Common practice. */
const TALL_MAST_M = 60;
const TALL_CPE_M = 15;

/** Highest mount that is usually allowed. Common practice. */
const TALL_MOUNT_M = 30;

/** Height under which a sector is rare: CPE are mounted there. Common practice. */
const LOW_MAST_M = 4;

/** Height above which an emitter or a scan is rare. Common practice. */
const TALL_EMITTER_M = 100;

const M_PER_FOOT = 0.3048;

/** A height above sea is the ground's and a mast of this much on top. */
const MAST_ON_GROUND_M = { least: 3, most: 120 };

/** Ground below which a height above sea cannot be told from one above ground. */
const LOW_GROUND_M = 30;

/** Heights in feet, above sea and in the wrong field, and masts under ground. */
export function findHeightSlips(parts: CheckedParts, terrain: TerrainFacts | undefined): Finding[] {
  const groundBySite = new Map(parts.sites.map((site, index) => [site.id, terrain?.groundAmslM[index]]));
  const aboveSea = parts.sectors.map((sector) => isAboveSea(sector, groundBySite.get(sector.site)));
  const sheetIsAboveSea = aboveSea.filter(Boolean).length * 2 > parts.sectors.length;
  return [
    ...parts.sectors.flatMap((sector, index) => {
      const groundM = groundBySite.get(sector.site);
      const at = { pointer: `/sectors/${index}/heightAglM`, row: sector.id };
      if (aboveSea[index] && groundM != null) return findHeightAboveSea(at, sector.heightAglM, groundM);
      if (sheetIsAboveSea && groundM != null && sector.heightAglM < groundM)
        return findMastUnderGround(at, sector.heightAglM, groundM);
      if (sector.heightAglM < LOW_MAST_M) return findLowMast(at, sector.heightAglM);
      return sector.heightAglM > TALL_MAST_M ? findHeightInFeet(at, sector.heightAglM, TALL_MAST_M) : [];
    }),
    ...findTallEnds(parts),
  ];
}

function isAboveSea({ heightAglM }: SectorSpec, groundM: number | null | undefined): boolean {
  if (groundM == null || groundM < LOW_GROUND_M) return false;
  const mastM = heightAglM - groundM;
  return mastM >= MAST_ON_GROUND_M.least && mastM <= MAST_ON_GROUND_M.most;
}

function findHeightAboveSea(at: FindingRow, heightM: number, groundM: number): Finding[] {
  const mastM = (heightM - groundM).toFixed(0);
  return [
    {
      ...at,
      code: "height_above_sea",
      detail: `${heightM} m above ground is the height of the ground, ${groundM.toFixed(0)} m, and ${mastM} m`,
      likelyCause: "the height is given above sea instead of above ground",
      suggestion: `if so, state ${mastM} m`,
      severity: "error",
    },
  ];
}

function findMastUnderGround(at: FindingRow, heightM: number, groundM: number): Finding[] {
  return [
    {
      ...at,
      code: "mast_under_ground",
      detail: `most heights of this network look like heights above sea; as one, ${heightM} m lies under the ground of ${groundM.toFixed(0)} m`,
      likelyCause: "heights above sea level and above ground are mixed, or the place is wrong",
      suggestion: "state every height above ground, and check the place",
      severity: "warning",
    },
  ];
}

function findHeightInFeet(at: FindingRow, heightM: number, usualM: number): Finding[] {
  return [
    {
      ...at,
      code: "height_in_feet",
      detail: `${heightM} m above ground is more than the usual ${usualM} m`,
      likelyCause: "the height is in feet",
      suggestion: `if so, state ${(heightM * M_PER_FOOT).toFixed(1)} m`,
      severity: "warning",
    },
  ];
}

function findLowMast(at: FindingRow, heightM: number): Finding[] {
  return [
    {
      ...at,
      code: "mast_low",
      detail: `${heightM} m above ground is low for a sector, under ${LOW_MAST_M} m`,
      likelyCause: "the height of the CPE was entered, or the height is in storeys",
      suggestion: "state the height of the antenna above ground in metres",
      severity: "warning",
    },
  ];
}

/** CPE, subscribers, emitters and scans that are too high. */
function findTallEnds({ cpes, subscribers, emitters, scans }: CheckedParts): Finding[] {
  const listTall = (list: string, items: readonly { id: string; heightAglM?: number | undefined }[], usualM: number) =>
    items.flatMap(({ id, heightAglM = 0 }, index) =>
      findTallEnd({ pointer: `/${list}/${index}/heightAglM`, row: id }, heightAglM, usualM),
    );
  return [
    ...cpes.flatMap(({ pointer, row, spec: { heightAglM, maxHeightAglM = 0 } }) =>
      heightAglM > TALL_CPE_M
        ? findTallEnd({ pointer: `${pointer}/heightAglM`, row }, heightAglM, TALL_CPE_M)
        : findTallEnd({ pointer: `${pointer}/maxHeightAglM`, row }, maxHeightAglM, TALL_MOUNT_M),
    ),
    ...listTall("subscribers", subscribers, TALL_CPE_M),
    ...listTall("emitters", emitters, TALL_EMITTER_M),
    ...listTall("scans", scans, TALL_EMITTER_M),
  ];
}

function findTallEnd(at: FindingRow, heightM: number, usualM: number): Finding[] {
  return heightM > usualM ? findHeightInFeet(at, heightM, usualM) : [];
}
