import type { SectorSpec } from "../coverage-request.ts";
import type { NetworkDocument } from "../network-document.ts";
import type { Finding, KnownGround } from "./finding.ts";

/** Heights above which metres are rare for small providers; 30 m and 6 m written in feet lie above. Common practice. */
const TALL_MAST_M = 60;
const TALL_CPE_M = 15;

const M_PER_FOOT = 0.3048;

/** A height above sea is the ground's and a mast of this much on top. */
const MAST_ON_GROUND_M = { least: 3, most: 120 };

/** Ground below which a height above sea cannot be told from one above ground. */
const LOW_GROUND_M = 30;

/** Heights in feet, heights above sea, masts under ground and on ground that is not known. */
export function heightFindings(network: NetworkDocument, known: KnownGround): Finding[] {
  const groundBySite = groundHeights(network, known);
  const aboveSea = network.sectors.map((sector) => isAboveSea(sector, groundBySite.get(sector.site)));
  const sheetIsAboveSea = aboveSea.filter(Boolean).length * 2 > network.sectors.length;
  return [
    ...unknownGround(network, groundBySite),
    ...network.sectors.flatMap((sector, index) => {
      const groundM = groundBySite.get(sector.site);
      const at = { pointer: `/sectors/${index}/heightAglM`, row: sector.id };
      if (aboveSea[index] && groundM != null) return heightAboveSea(at, sector.heightAglM, groundM);
      if (sheetIsAboveSea && groundM != null && sector.heightAglM < groundM)
        return mastUnderGround(at, sector.heightAglM, groundM);
      return sector.heightAglM > TALL_MAST_M ? heightInFeet(at, sector.heightAglM, TALL_MAST_M) : [];
    }),
    ...tallCpes(network),
  ];
}

type Ground = Map<string, number | null | undefined>;
type Row = Pick<Finding, "pointer" | "row">;

function groundHeights({ sites }: NetworkDocument, { groundAmslM }: KnownGround): Ground {
  return new Map(sites.map((site) => [site.id, groundAmslM?.(site)]));
}

function isAboveSea({ heightAglM }: SectorSpec, groundM: number | null | undefined): boolean {
  if (groundM == null || groundM < LOW_GROUND_M) return false;
  const mastM = heightAglM - groundM;
  return mastM >= MAST_ON_GROUND_M.least && mastM <= MAST_ON_GROUND_M.most;
}

function unknownGround({ sites }: NetworkDocument, groundBySite: Ground): Finding[] {
  return sites.flatMap(({ id }, index) =>
    groundBySite.get(id) === null
      ? {
          code: "ground-not-known",
          pointer: `/sites/${index}`,
          row: id,
          detail: "the terrain does not know the ground at this site",
          likelyCause: "the place is wrong, or the terrain does not reach there",
          suggestion: "check longitude and latitude, or add terrain",
          severity: "error",
        }
      : [],
  );
}

function heightAboveSea(at: Row, heightM: number, groundM: number): Finding[] {
  const mastM = (heightM - groundM).toFixed(0);
  return [
    {
      ...at,
      code: "height-above-sea",
      detail: `${heightM} m above ground is the height of the ground, ${groundM.toFixed(0)} m, and ${mastM} m`,
      likelyCause: "the height is given above sea instead of above ground",
      suggestion: `if so, state ${mastM} m`,
      severity: "error",
    },
  ];
}

function mastUnderGround(at: Row, heightM: number, groundM: number): Finding[] {
  return [
    {
      ...at,
      code: "mast-under-ground",
      detail: `most heights of this network look like heights above sea; as one, ${heightM} m lies under the ground of ${groundM.toFixed(0)} m`,
      likelyCause: "heights above sea and above ground are mixed, or the place is wrong",
      suggestion: "state every height above ground, and check the place",
      severity: "warning",
    },
  ];
}

function heightInFeet(at: Row, heightM: number, usualM: number): Finding[] {
  return [
    {
      ...at,
      code: "height-in-feet",
      detail: `${heightM} m above ground is more than the usual ${usualM} m`,
      likelyCause: "the height is in feet",
      suggestion: `if so, state ${(heightM * M_PER_FOOT).toFixed(1)} m`,
      severity: "warning",
    },
  ];
}

function tallCpes({ cpes, subscribers }: NetworkDocument): Finding[] {
  const rows = [
    ...cpes.map(({ id, heightAglM }, index) => ({ list: "cpes", index, id, heightAglM })),
    ...subscribers.map(({ id, heightAglM = 0 }, index) => ({ list: "subscribers", index, id, heightAglM })),
  ];
  return rows.flatMap(({ list, index, id, heightAglM }) =>
    heightAglM > TALL_CPE_M
      ? heightInFeet({ pointer: `/${list}/${index}/heightAglM`, row: id }, heightAglM, TALL_CPE_M)
      : [],
  );
}
