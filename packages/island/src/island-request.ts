import { hamletPlaces, mastPlaces } from "./island-places.ts";
import { createIsland } from "./island-terrain.ts";

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
const DISH = { id: "dish-10", kind: "cuts", gainDbi: 23, horizontal: DISH_CUT, vertical: DISH_UPRIGHT };

/**
 * A coverage request for the island of a seed, as JSON before defaults: two masts, two sectors on each, turned 60
 * degrees either side of the line towards the other coast, and two plans. Provider, places and kit are invented.
 */
export function islandRequest(seed?: number) {
  const { west, east } = mastPlaces(createIsland(seed));
  return {
    version: 1,
    name: "Tollivast Air Link: the first two masts",
    area: { radiusM: 12_000, cellM: 30 },
    model: { clutter: { class: "open" } },
    sites: [
      { id: "west-top", lon: west.lon, lat: west.lat },
      { id: "east-top", lon: east.lon, lat: east.lat },
    ],
    antennas: [{ id: "element-65", kind: "tr38901" }, PANEL, DISH],
    radios: [{ id: "radio", table: "802.11ax" }],
    sectors: [
      sector("west-top", "panel-90", 30, 5560),
      sector("west-top", "panel-90", 150, 5600),
      sector("east-top", "element-65", 210, 5640),
      sector("east-top", "element-65", 330, 5680),
    ],
    kit: { antenna: "dish-10", radio: "radio", heightAglM: 6, maxHeightAglM: 12, powerDbm: 22 },
    plans: [
      { id: "hearth-100", downMbps: 100, upMbps: 20 },
      { id: "hearth-25", downMbps: 25, upMbps: 5 },
    ],
  };
}

function sector(site: string, antenna: string, azimuthDeg: number, centreMhz: number) {
  return {
    id: `${site}-${azimuthDeg}`,
    site,
    antenna,
    radio: "radio",
    heightAglM: 30,
    azimuthDeg,
    downtiltDeg: 3,
    channel: { centreMhz, widthMhz: 40 },
    powerDbm: 27,
    feederLossDb: 0.5,
  };
}

const ADDRESSES = ["4 Kiln Row, Nessolt", "Old Net Loft, Ovralay", "11 Upper Fold, Pellowark"];

/** Three invented addresses in the hamlets of the island of a seed. */
export function islandAddresses(seed?: number): { address: string; lon: number; lat: number }[] {
  const places = hamletPlaces(createIsland(seed), ADDRESSES.length);
  return places.map(({ lon, lat }, index) => ({ address: ADDRESSES[index] ?? "", lon, lat }));
}
