import { WOODS } from "./island-file.ts";
import { CPE_M, hamletPlaces, MAST_M, type MastPlaces, mastPlaces } from "./island-places.ts";
import { createIsland, distanceM, type Island } from "./island-terrain.ts";
import { groundOverLineM, isInBeam } from "./sight.ts";

/** An invented sector antenna of 90 by 8 degrees, as its maker would list it: level in dB below the peak by angle. */
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

/** Each mast looks inland; the two sectors on one channel look away from each other. */
const SECTORS = [
  { site: "west-top", azimuthDeg: 0, centreMhz: 5745 },
  { site: "west-top", azimuthDeg: 90, centreMhz: 5785 },
  { site: "east-top", azimuthDeg: 210, centreMhz: 5825 },
  { site: "east-top", azimuthDeg: 330, centreMhz: 5745 },
] as const;

/**
 * A coverage request for the island, as JSON before defaults: two masts, two sectors on each, two plans. Provider,
 * places and CPE are invented; what stands on the ground are the island's woods.
 */
export function islandRequest() {
  const { west, east } = mastPlaces(createIsland());
  return {
    version: 1,
    name: "Tollivast Air Link: the first two masts, among woods",
    area: { radiusM: 12_000, cellM: 30 },
    model: { clutter: { canopy: WOODS } },
    sites: [
      { id: "west-top", lon: west.lon, lat: west.lat },
      { id: "east-top", lon: east.lon, lat: east.lat },
    ],
    antennas: [PANEL, DISH],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: SECTORS.map(sector),
    cpe: {
      antenna: "dish-10",
      radio: "radio",
      heightAglM: CPE_M,
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

function sector({ site, azimuthDeg, centreMhz }: (typeof SECTORS)[number]) {
  return {
    id: `${site}-${azimuthDeg}`,
    site,
    antenna: "panel-90",
    radio: "radio",
    heightAglM: MAST_M,
    azimuthDeg,
    downtiltDeg: 4,
    channel: { centreMhz, widthMhz: 40 },
    powerDbm: 27,
    feederLossDb: 0.5,
    rule: "us-5725-5850-ptmp",
  };
}

/** Invented addresses, and how far the ground stands over the line from the mast, m: at least and at most. */
const ADDRESSES = [
  { address: "4 Kiln Row, Nessolt", overM: [Number.NEGATIVE_INFINITY, -5] },
  { address: "Old Net Loft, Ovralay", overM: [1, 5] },
  { address: "11 Upper Fold, Pellowark", overM: [50, 100] },
] as const;

/** Addresses lie no farther from their mast than this. */
const NEAR_M = 8_000;

/**
 * Three invented addresses, each in the flattest hamlet that fits: one in plain sight of a mast, one that a few metres
 * of ground hide, one behind a hill. Each lies within 8 km and 45 degrees of a sector.
 */
export function islandAddresses(): { address: string; lon: number; lat: number }[] {
  const island = createIsland();
  const masts = mastPlaces(island);
  const hamlets = hamletPlaces(island).map((place) => ({ place, overM: leastOverLineM(island, masts, place.index) }));
  return ADDRESSES.flatMap(({ address, overM: [leastM, mostM] }) => {
    const found = hamlets.find(({ overM }) => overM >= leastM && overM <= mostM);
    return found ? [{ address, lon: found.place.lon, lat: found.place.lat }] : [];
  });
}

/** How far the ground stands over the line to the sector that is hidden least; infinite where no sector looks. */
function leastOverLineM(island: Island, { west, east }: MastPlaces, index: number): number {
  const cpe = { index, heightAglM: CPE_M };
  const oversM = SECTORS.map(({ site, azimuthDeg }) => {
    const mast = { index: site === "west-top" ? west.index : east.index, heightAglM: MAST_M };
    const looks = distanceM(island, mast.index, index) < NEAR_M && isInBeam(island, mast.index, index, azimuthDeg);
    return looks ? groundOverLineM(island, mast, cpe) : Number.POSITIVE_INFINITY;
  });
  return Math.min(...oversM);
}
