import { WOODS } from "./island-file.ts";
import { CPE_HEIGHT_M, findHamletPlaces, findMastPlaces, MAST_HEIGHT_M, type MastPlaces } from "./island-places.ts";
import { computeDistanceM, createIsland, type Island } from "./island-terrain.ts";
import { computeGroundOverLineM, isInBeam } from "./sight.ts";

/** An invented sector antenna of 90 by 8 degrees as in a data sheet: level in dB below the peak by angle. */
const PANEL = {
  id: "panel-90",
  kind: "cuts",
  gainDbi: 16,
  horizontal: [
    [0, 0],
    [30, -1.4],
    [45, -3],
    [60, -5.6],
    [90, -14],
    [120, -24],
    [180, -30],
    [240, -24],
    [270, -14],
    [300, -5.6],
    [315, -3],
    [330, -1.4],
  ],
  vertical: [
    [-90, -32],
    [-30, -24],
    [-15, -18],
    [-8, -12],
    [-4, -3],
    [0, 0],
    [4, -3],
    [8, -12],
    [15, -18],
    [30, -24],
    [90, -32],
  ],
};

/** An invented small dish of 10 degrees for the subscriber's end; the same cut both ways. */
const DISH_CUT = [
  [-180, -35],
  [-60, -28],
  [-20, -20],
  [-10, -12],
  [-5, -3],
  [0, 0],
  [5, -3],
  [10, -12],
  [20, -20],
  [60, -28],
];
const DISH_UPRIGHT = [[-90, -32], ...DISH_CUT.slice(1), [90, -32]];
const DISH = { id: "dish-10", kind: "cuts", gainDbi: 24, horizontal: DISH_CUT, vertical: DISH_UPRIGHT };

/** The sectors of each mast face inland; the two sectors on one channel face away from each other. */
const SECTORS = [
  { site: "west-top", azimuthDeg: 0, centreMhz: 5745 },
  { site: "west-top", azimuthDeg: 90, centreMhz: 5785 },
  { site: "east-top", azimuthDeg: 210, centreMhz: 5825 },
  { site: "east-top", azimuthDeg: 330, centreMhz: 5745 },
] as const;

/** The invented provider. */
export const PROVIDER = "Tollivast Broadband";

/**
 * Returns a coverage request for the island, as JSON before defaults: two masts, two sectors on each, two plans. Provider,
 * places and equipment are invented; the clutter is the island's woods.
 */
export function buildIslandRequest() {
  const { west, east } = findMastPlaces(createIsland());
  return {
    version: 1,
    name: `${PROVIDER}: the first two masts, among woods`,
    area: { radiusM: 12_000, cellM: 30 },
    model: { clutter: { canopy: WOODS } },
    sites: [
      { id: "west-top", lon: west.lon, lat: west.lat },
      { id: "east-top", lon: east.lon, lat: east.lat },
    ],
    antennas: [PANEL, DISH],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: SECTORS.map(createSector),
    cpe: {
      antenna: "dish-10",
      radio: "radio",
      heightAglM: CPE_HEIGHT_M,
      maxHeightAglM: 12,
      powerDbm: 20,
      rule: "us-5725-5850-ptp",
    },
    plans: [
      { id: "hearth-100", downMbps: 100, upMbps: 20 },
      { id: "hearth-25", downMbps: 25, upMbps: 5 },
    ],
  };
}

function createSector({ site, azimuthDeg, centreMhz }: (typeof SECTORS)[number]) {
  return {
    id: `${site}-${azimuthDeg}`,
    site,
    antenna: "panel-90",
    radio: "radio",
    heightAglM: MAST_HEIGHT_M,
    azimuthDeg,
    downtiltDeg: 4,
    channel: { centreMhz, widthMhz: 40 },
    powerDbm: 27,
    feederLossDb: 0.5,
    rule: "us-5725-5850-ptmp",
    timingGroup: "island",
  };
}

/** Invented addresses, with the least and greatest height of the ground above the line from the mast, m. */
const ADDRESSES = [
  { address: "4 Kiln Row, Nessolt", overM: [Number.NEGATIVE_INFINITY, -5] },
  { address: "Old Net Loft, Ovralay", overM: [1, 5] },
  { address: "11 Upper Fold, Pellowark", overM: [50, 100] },
] as const;

/** Largest distance of an address from its mast. */
const NEAR_M = 8_000;

/**
 * Returns three invented addresses, each in the flattest hamlet that fits: one in line of sight of a mast, one obstructed
 * by a few metres of ground, one behind a hill. Each lies within 8 km and 45 degrees of a sector.
 */
export function findIslandAddresses(): { address: string; lon: number; lat: number }[] {
  const island = createIsland();
  const masts = findMastPlaces(island);
  const hamlets = findHamletPlaces(island).map((place) => ({
    place,
    overM: findLeastOverLineM(island, masts, place.index),
  }));
  return ADDRESSES.flatMap(({ address, overM: [leastM, mostM] }) => {
    const found = hamlets.find(({ overM }) => overM >= leastM && overM <= mostM);
    return found ? [{ address, lon: found.place.lon, lat: found.place.lat }] : [];
  });
}

/** Returns the height of the ground above the line to the least obstructed sector, m; infinite outside all sectors. */
function findLeastOverLineM(island: Island, { west, east }: MastPlaces, index: number): number {
  const cpe = { index, heightAglM: CPE_HEIGHT_M };
  const oversM = SECTORS.map(({ site, azimuthDeg }) => {
    const mast = { index: site === "west-top" ? west.index : east.index, heightAglM: MAST_HEIGHT_M };
    const looks =
      computeDistanceM(island, mast.index, index) < NEAR_M && isInBeam(island, mast.index, index, azimuthDeg);
    return looks ? computeGroundOverLineM(island, mast, cpe) : Number.POSITIVE_INFINITY;
  });
  return Math.min(...oversM);
}
