import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { parseCoverageRequest } from "../parse-request.ts";
import { changeExample, createExampleRequest } from "../testing/example-request.ts";
import { requestFindings } from "./find-slips.ts";
import type { TerrainFacts } from "./finding.ts";

type Values = Record<string, unknown>;

/** Terrain of the degree around the example's mast, on ground of 450 m, with a set of canopy. */
const TERRAIN: TerrainFacts = {
  groundAmslM: [450],
  isWater: [false],
  sets: [
    { name: "default", kind: "bare", boxes: [[-77, 40, -76, 41]] },
    { name: "woods", kind: "canopy", boxes: [[-77, 40, -76, 41]] },
  ],
};

/** The example with a radius that stays on its terrain, one clutter class for all and some values set. */
function request(values: Values): Values {
  return changeExample({ "/area/radiusM": 15_000, "/model/clutter": { class: "open" }, ...values });
}

function told(values: Values, terrain: Partial<TerrainFacts>): { code: string; pointer: string; text: string }[] {
  try {
    const found = requestFindings(parseCoverageRequest(request(values)), { ...TERRAIN, ...terrain });
    return found.map(({ code, pointer, detail, likelyCause, suggestion }) => {
      return { code, pointer, text: [detail, likelyCause, suggestion].join("; ") };
    });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.problems.map(({ pointer, detail }) => ({ code: "refused", pointer, text: detail }));
  }
}

const [sector] = createExampleRequest().sectors as Values[];
const [plan] = createExampleRequest().plans as Values[];
const [site] = createExampleRequest().sites as Values[];
const emitter = {
  id: "e1",
  lon: -76.9,
  lat: 40.5,
  heightAglM: 20,
  eirpDbm: 30,
  channel: { centreMhz: 5600, widthMhz: 20 },
};
const subscriber = { id: "u1", sector: "s1-n", lon: -76.75, lat: 40.8, plan: "p25" };
const scan = {
  ...{ id: "n1", site: "s1", heightAglM: 30, antenna: "a1", resolutionMhz: 1, polarisation: 0, statistic: "median" },
  at: "2026-01-01T00:00:00Z",
};
const at = "2026-01-01T00:00:00Z";

/** The slip, its values, the code of the finding or "refused", its pointer, and a part of the text. */
type Slip = [
  what: string,
  values: Values,
  code: string,
  pointer: string,
  said: string,
  terrain?: Partial<TerrainFacts>,
];

const HEIGHTS: Slip[] = [
  [
    "a mast in feet",
    { "/sectors/0/heightAglM": 100 },
    "height_in_feet",
    "/sectors/0/heightAglM",
    "if so, state 30.5 m",
  ],
  [
    "a mast in feet over 500",
    { "/sectors/0/heightAglM": 600 },
    "refused",
    "/sectors/0/heightAglM",
    "in feet, write 182.88",
  ],
  [
    "a mast with its unit",
    { "/sectors/0/heightAglM": "30 m" },
    "refused",
    "/sectors/0/heightAglM",
    "without a unit: 30",
  ],
  [
    "feet with their unit",
    { "/sectors/0/heightAglM": "100 ft" },
    "refused",
    "/sectors/0/heightAglM",
    "in metres, without a unit: 30.48",
  ],
  ["a mast in storeys", { "/sectors/0/heightAglM": 3 }, "mast_low", "/sectors/0/heightAglM", "in storeys"],
  [
    "a mast above sea",
    { "/sectors/0/heightAglM": 480 },
    "height_above_sea",
    "/sectors/0/heightAglM",
    "if so, state 30 m",
  ],
  [
    "a CPE in feet",
    { "/cpe/heightAglM": 20, "/cpe/maxHeightAglM": 40 },
    "height_in_feet",
    "/cpe/heightAglM",
    "if so, state 6.1 m",
  ],
  [
    "a highest mount in feet",
    { "/cpe/maxHeightAglM": 40 },
    "height_in_feet",
    "/cpe/maxHeightAglM",
    "if so, state 12.2 m",
  ],
  [
    "a subscriber in feet",
    { "/subscribers": [{ ...subscriber, heightAglM: 20 }] },
    "height_in_feet",
    "/subscribers/0/heightAglM",
    "feet",
  ],
  [
    "an emitter in feet",
    { "/emitters": [{ ...emitter, heightAglM: 150 }] },
    "height_in_feet",
    "/emitters/0/heightAglM",
    "state 45.7 m",
  ],
  ["no height", { "/sectors/0/heightAglM": undefined }, "refused", "/sectors/0/heightAglM", "is missing"],
];

const POWERS: Slip[] = [
  ["half a watt", { "/sectors/0/powerDbm": 0.5 }, "power_in_watts", "/sectors/0/powerDbm", "if so, state 27.0"],
  ["a watt at the CPE", { "/cpe/powerDbm": 1 }, "power_in_watts", "/cpe/powerDbm", "if so, state 30.0"],
  ["milliwatts", { "/sectors/0/powerDbm": 500 }, "refused", "/sectors/0/powerDbm", "in milliwatts, write 26.9897"],
  ["the EIRP", { "/sectors/0/powerDbm": 36 }, "power_is_eirp", "/sectors/0/powerDbm", "36 dBm (4.0 W)"],
  ["a power with a minus", { "/sectors/0/powerDbm": -19 }, "power_low", "/sectors/0/powerDbm", "a sign or a digit"],
  [
    "a decimal comma",
    { "/sectors/0/powerDbm": "19,5" },
    "refused",
    "/sectors/0/powerDbm",
    "with a decimal point: 19.5",
  ],
  ["a number in quotes", { "/sectors/0/powerDbm": "19" }, "refused", "/sectors/0/powerDbm", "without quotes: 19"],
  [
    "an emitter in milliwatts",
    { "/emitters": [{ ...emitter, eirpDbm: 1000 }] },
    "refused",
    "/emitters/0/eirpDbm",
    "write 30",
  ],
  [
    "an emitter of 80 mW",
    { "/emitters": [{ ...emitter, eirpDbm: 80 }] },
    "eirp_high",
    "/emitters/0/eirpDbm",
    "state 19.0",
  ],
  [
    "a loss with a minus",
    { "/sectors/0/feederLossDb": -0.5 },
    "refused",
    "/sectors/0/feederLossDb",
    "positive numbers: write 0.5",
  ],
  [
    "the feeder's length",
    { "/sectors/0/feederLossDb": 25 },
    "feeder_loss_large",
    "/sectors/0/feederLossDb",
    "length of the feeder",
  ],
  ["one chain for two streams", { "/sectors/0/chains": 1 }, "chains_below_streams", "/sectors/0/chains", "2 streams"],
  [
    "a gain as a factor",
    { "/antennas/0/gainDbi": 316 },
    "refused",
    "/antennas/0/gainDbi",
    "if it is a factor, write 24.996871",
  ],
];

const PLACES: Slip[] = [
  [
    "swapped coordinates",
    { "/sites/0/lon": 40.7763, "/sites/0/lat": -76.7488 },
    "coordinates_swapped",
    "/sites/0",
    "state longitude -76.7488, latitude 40.7763",
  ],
  [
    "a lost minus",
    { "/sites/0/lon": 76.7488 },
    "longitude_sign",
    "/sites/0",
    "covers longitude -77.00 to -76.00, latitude 40.00 to 41.00",
  ],
  [
    "a wrong hemisphere",
    { "/sites/0/lat": -40.7763 },
    "latitude_sign",
    "/sites/0",
    "state longitude -76.7488, latitude 40.7763",
  ],
  [
    "swapped, and a lost minus",
    { "/sites/0/lon": 40.7763, "/sites/0/lat": 76.7488 },
    "coordinates_swapped",
    "/sites/0",
    "a sign is lost",
  ],
  [
    "both signs",
    { "/sites/0/lon": 76.7488, "/sites/0/lat": -40.7763 },
    "both_signs",
    "/sites/0",
    "state longitude -76.7488",
  ],
  ["a wrong digit", { "/sites/0/lat": 48.7763 }, "outside_terrain", "/sites/0", "covers longitude -77.00 to -76.00"],
  [
    "metres of a projection",
    { "/sites/0/lon": 352_000, "/sites/0/lat": 4_515_000 },
    "refused",
    "/sites/0/lat",
    "metres of a projected system",
  ],
  ["longitude from 0 to 360", { "/sites/0/lon": 283.2512 }, "refused", "/sites/0/lon", "from 0 to 360, write -76.7488"],
  ["a latitude over 90", { "/sites/0/lon": -12, "/sites/0/lat": 140.2 }, "refused", "/sites/0/lat", "may be swapped"],
  [
    "degrees, minutes, seconds",
    { "/sites/0/lat": "40°46'34.7\"N" },
    "refused",
    "/sites/0/lat",
    "decimal degrees, without quotes: 40.776306",
  ],
  ["west in letters", { "/sites/0/lon": "76 44 55.7 W" }, "refused", "/sites/0/lon", "without quotes: -76.748806"],
  [
    "a latitude with a comma",
    { "/sites/0/lat": "40,7763" },
    "refused",
    "/sites/0/lat",
    "with a decimal point: 40.7763",
  ],
  [
    "empty cells",
    { "/sites/0/lon": 0, "/sites/0/lat": 0 },
    "place_is_zero",
    "/sites/0",
    "cells of the sheet were empty",
  ],
  ["a mast in the sea", {}, "mast_in_water", "/sites/0", "in the sea", { groundAmslM: [0], isWater: [true] }],
  ["a void at the mast", {}, "void_at_mast", "/sites/0", "set terrain.fillVoids to true", { groundAmslM: [null] }],
  [
    "a void that was not filled",
    { "/terrain/fillVoids": true },
    "void_at_mast",
    "/sites/0",
    "use another elevation set",
    { groundAmslM: [null] },
  ],
  [
    "a map beyond the terrain",
    { "/area/radiusM": 50_000 },
    "map_beyond_terrain",
    "/area/radiusM",
    "% of the area within 50000 m",
  ],
  ["a copied site", { "/sites": [site, { ...site, id: "s2" }] }, "sites_at_one_place", "/sites/1", "a row was copied"],
  [
    "a site without a sector",
    { "/sites": [site, { id: "s2", lon: -76.5, lat: 40.5 }] },
    "site_without_sector",
    "/sites/1",
    "s2 has no sector",
  ],
  [
    "a subscriber on the mast",
    { "/subscribers": [{ ...subscriber, lon: -76.7488, lat: 40.7763 }] },
    "subscriber_on_mast",
    "/subscribers/0",
    "place of the site",
  ],
  [
    "a swapped subscriber",
    { "/subscribers": [{ ...subscriber, lon: 40.8, lat: -76.75 }] },
    "coordinates_swapped",
    "/subscribers/0",
    "state longitude -76.75",
  ],
  [
    "a subscriber far away",
    { "/subscribers": [{ ...subscriber, lon: -70 }] },
    "far_away",
    "/subscribers/0",
    "more than 60 km",
  ],
  ["an emitter far away", { "/emitters": [{ ...emitter, lat: 45 }] }, "far_away", "/emitters/0", "more than 300 km"],
  ["a radius in km", { "/area/radiusM": 20 }, "refused", "/area/radiusM", "in km, write 20000"],
  [
    "clutter that is there and not named",
    { "/model/clutter": { class: "unknown" } },
    "clutter_not_used",
    "/model/clutter",
    '"clutter": {"canopy": "woods"}',
  ],
  [
    "no clutter at all",
    { "/model/clutter": { class: "unknown" } },
    "clutter_missing",
    "/model/clutter",
    "survey first",
    { sets: TERRAIN.sets.slice(0, 1) },
  ],
];

const SECTORS: Slip[] = [
  [
    "a copied sector",
    { "/sectors": [sector, { ...sector, id: "s1-e" }] },
    "sectors_alike",
    "/sectors/1/azimuthDeg",
    "s1-e and s1-n of site s1",
  ],
  [
    "sectors without a timing group",
    {
      "/sectors": [
        { ...sector, timingGroup: undefined },
        { ...sector, id: "s1-e", azimuthDeg: 120, timingGroup: undefined },
      ],
    },
    "timing_not_stated",
    "/sectors/0/timingGroup",
    "2 of 2 sectors state no timing group",
  ],
  [
    "an own sector as emitter",
    { "/emitters": [{ ...emitter, lon: -76.7488, lat: 40.7763 }] },
    "emitter_is_own",
    "/emitters/0",
    "s1-n",
  ],
  [
    "a frequency in GHz",
    { "/sectors/0/channel/centreMhz": 5.6 },
    "refused",
    "/sectors/0/channel/centreMhz",
    "in GHz, write 5600",
  ],
  [
    "a frequency of 60 GHz",
    { "/sectors/0/channel/centreMhz": 60 },
    "refused",
    "/sectors/0/channel/centreMhz",
    "write 5300; if it is in GHz, write 60000",
  ],
  [
    "a channel number",
    { "/sectors/0/channel/centreMhz": 149 },
    "refused",
    "/sectors/0/channel/centreMhz",
    "write 5745",
  ],
  [
    "a frequency in kHz",
    { "/sectors/0/channel/centreMhz": 5_600_000 },
    "refused",
    "/sectors/0/channel/centreMhz",
    "in kHz, write 5600",
  ],
  [
    "a frequency in Hz",
    { "/sectors/0/channel/centreMhz": 5.6e9 },
    "refused",
    "/sectors/0/channel/centreMhz",
    "in Hz, write 5600",
  ],
  [
    "a width in kHz",
    { "/sectors/0/channel/widthMhz": 20_000 },
    "refused",
    "/sectors/0/channel/widthMhz",
    "in kHz, write 20",
  ],
  ["an azimuth of 360", { "/sectors/0/azimuthDeg": 360 }, "refused", "/sectors/0/azimuthDeg", "write 0"],
  ["an azimuth with a minus", { "/sectors/0/azimuthDeg": -90 }, "refused", "/sectors/0/azimuthDeg", "write 270"],
  ["a tilt upwards", { "/sectors/0/downtiltDeg": -2 }, "tilt_sign", "/sectors/0/downtiltDeg", "if so, state 2"],
  ["a tilt in tenths", { "/sectors/0/downtiltDeg": 20 }, "tilt_steep", "/sectors/0/downtiltDeg", "in tenths, state 2"],
  ["a tilt in tenths over 30", { "/sectors/0/downtiltDeg": 45 }, "refused", "/sectors/0/downtiltDeg", "write 4.5"],
  ["a load in percent", { "/sectors/0/load": 50 }, "refused", "/sectors/0/load", "in percent, write 0.5"],
  [
    "a field spelt wrongly",
    { "/sectors/0/azimutDeg": 90 },
    "refused",
    "/sectors/0/azimutDeg",
    'did you mean "azimuthDeg"?',
  ],
  ["a field in small letters", { "/cpe/heightaglm": 6 }, "refused", "/cpe/heightaglm", 'did you mean "heightAglM"?'],
  ["a site that is not there", { "/sectors/0/site": "S1" }, "refused", "/sectors/0/site", "S1"],
];

const OTHERS: Slip[] = [
  ["speeds in kbit/s", { "/plans/0/downMbps": 25_000 }, "refused", "/plans/0/downMbps", "in kbit/s, write 25"],
  ["speeds of 2,500 kbit/s", { "/plans/0/downMbps": 2500 }, "plan_above_channel", "/plans/0/downMbps", "state 2.5"],
  [
    "swapped speeds",
    { "/plans/0": { ...plan, downMbps: 20, upMbps: 100 } },
    "plan_speeds_swapped",
    "/plans/0",
    "state downMbps 100",
  ],
  ["a copied plan", { "/plans/1": { ...plan, id: "copy" } }, "plans_alike", "/plans/1", "a row was copied"],
  [
    "availability in percent",
    { "/model/availability": 99.9 },
    "refused",
    "/model/availability",
    "in percent, write 0.999",
  ],
  ["confidence in percent", { "/model/confidence": 90 }, "refused", "/model/confidence", "in percent, write 0.9"],
  [
    "the Earth's radius in km",
    { "/model/earthRadiusFactor": 8495 },
    "refused",
    "/model/earthRadiusFactor",
    "write 1.333",
  ],
  [
    "a share of the frame in percent",
    { "/radios/0/downShare": 75 },
    "refused",
    "/radios/0/downShare",
    "in percent, write 0.75",
  ],
  [
    "a level without its minus",
    { "/subscribers": [{ ...subscriber, measured: { signalDbm: 23, at } }] },
    "level_sign",
    "/subscribers/0/measured/signalDbm",
    "if so, state -23",
  ],
  [
    "a scan without its minus",
    { "/scans": [{ ...scan, readings: [{ azimuthDeg: 0, centreMhz: 5600, levelDbm: 30 }] }] },
    "level_sign",
    "/scans/0/readings/0/levelDbm",
    "if so, state -30",
  ],
  [
    "levels of a cut that are absolute",
    {
      "/antennas/2/horizontal": [
        [0, -16],
        [90, -36],
        [180, -46],
        [270, -36],
      ],
    },
    "levels_not_normalised",
    "/antennas/2/horizontal",
    "absolute gains",
  ],
];

const SLIPS = [...HEIGHTS, ...POWERS, ...PLACES, ...SECTORS, ...OTHERS];

describe("slips are told before work is queued", () => {
  it("there are none in a good request", () => {
    expect(told({}, {})).toEqual([]);
  });

  it(`this table has 62 or more`, () => {
    expect(SLIPS.length).toBeGreaterThanOrEqual(62);
    expect(new Set(SLIPS.map(([what]) => what)).size).toBe(SLIPS.length);
  });

  it.each(SLIPS)("%s", (_what, values, code, pointer, said, terrain = {}) => {
    const all = told(values, terrain);
    expect(all.map((one) => `${one.code} ${one.pointer}`)).toContain(`${code} ${pointer}`);
    expect(all.find((one) => one.code === code && one.pointer === pointer)?.text).toContain(said);
  });

  it("a lost minus of one of two sites is named where it makes the map too large", () => {
    const second = { ...site, id: "s2", lon: 76.6 };
    const all = told({ "/sites": [site, second], "/sectors/1": { ...sector, id: "s2-n", site: "s2" } }, {});
    const text = /shrink the radius; site "s2" is \d+ km from site "s1": probably the sign of the longitude is wrong$/;
    expect(all).toContainEqual({ code: "refused", pointer: "/area", text: expect.stringMatching(text) });
  });

  it("repairs nothing", () => {
    const parsed = parseCoverageRequest(request({ "/sectors/0/heightAglM": 100, "/cpe/powerDbm": 0.5 }));
    const before = structuredClone(parsed);
    expect(requestFindings(parsed, TERRAIN)).toHaveLength(2);
    expect(parsed).toEqual(before);
  });
});
