import { describe, expect, it } from "vitest";
import { parseNetwork } from "../network-document.ts";
import { createExampleNetwork } from "../testing/example-network.ts";
import { findNetworkSlips } from "./find-slips.ts";
import type { TerrainFacts } from "./finding.ts";

const example = createExampleNetwork() as Record<string, Record<string, unknown>[]>;
const [site] = example.sites;
const [north, south] = example.sectors;
const [cpe] = example.cpes;
const [subscriber] = example.subscribers;

/** Findings of the example with some lists replaced, on ground of this height. */
function findings(values: Record<string, unknown>, groundM?: number | null) {
  const network = parseNetwork({ ...createExampleNetwork(), model: OPEN_LAND, ...values });
  return findNetworkSlips(network, groundM === undefined ? undefined : facts(network.sites.length, groundM));
}

const OPEN_LAND = { clutter: { class: "open" } };

/** Ground of one height all over the world. */
function facts(sites: number, groundM: number | null): TerrainFacts {
  const sets = [{ name: "default", kind: "bare", boxes: [[-180, -90, 180, 90]] as [number, number, number, number][] }];
  return { groundAmslM: Array(sites).fill(groundM), isWater: Array(sites).fill(false), sets };
}

const sites = [
  { id: "s1", lon: -76.7488, lat: 40.7763 },
  { id: "s2", lon: -76.6, lat: 40.8 },
  { id: "s3", lon: -76.5, lat: 40.7 },
];
const onEach = sites.map(({ id }, index) => ({ ...north, id: `n${index}`, site: id }));
const elsewhere = { sectors: onEach, isolations: [], subscribers: [] };

describe("findings of a network", () => {
  it("there are none in a good one", () => {
    expect(findings({}, 450)).toEqual([]);
  });

  it("never change the document", () => {
    const network = parseNetwork({
      ...createExampleNetwork(),
      sectors: [{ ...north, heightAglM: 120, downtiltDeg: -4 }, south],
    });
    const before = structuredClone(network);
    expect(findNetworkSlips(network)).not.toEqual([]);
    expect(network).toEqual(before);
  });

  it.each<[string, Record<string, unknown>, number | null | undefined, Record<string, unknown>]>([
    [
      "a mast in feet",
      { sectors: [{ ...north, heightAglM: 100 }, south] },
      undefined,
      { code: "height_in_feet", pointer: "/sectors/0/heightAglM", row: "s1-n", suggestion: "if so, state 30.5 m" },
    ],
    [
      "a cpe in feet",
      { cpes: [{ ...cpe, heightAglM: 20, maxHeightAglM: 40 }], subscribers: [] },
      undefined,
      { code: "height_in_feet", pointer: "/cpes/0/heightAglM", row: "k1", suggestion: "if so, state 6.1 m" },
    ],
    [
      "a subscriber in feet",
      { subscribers: [{ ...subscriber, heightAglM: 20 }] },
      undefined,
      { code: "height_in_feet", pointer: "/subscribers/0/heightAglM", row: "u1" },
    ],
    [
      "a height above sea",
      { sectors: [{ ...north, heightAglM: 455 }, south] },
      425,
      { code: "height_above_sea", pointer: "/sectors/0/heightAglM", row: "s1-n", suggestion: "if so, state 30 m" },
    ],
    ["ground that is not known", {}, null, { code: "void_at_mast", pointer: "/sites/0", row: "s1", severity: "error" }],
    [
      "a tilt upwards",
      { sectors: [north, { ...south, downtiltDeg: -3 }] },
      undefined,
      { code: "tilt_sign", pointer: "/sectors/1/downtiltDeg", row: "s1-s", suggestion: "if so, state 3" },
    ],
    [
      "coordinates the wrong way round",
      { ...elsewhere, sites: [sites[0], sites[1], { id: "s3", lon: 40.7, lat: -76.5 }] },
      undefined,
      {
        code: "coordinates_swapped",
        pointer: "/sites/2",
        row: "s3",
        suggestion: "if so, state longitude -76.5, latitude 40.7",
      },
    ],
    [
      "a lost sign",
      { ...elsewhere, sites: [sites[0], sites[1], { id: "s3", lon: 76.5, lat: 40.7 }] },
      undefined,
      { code: "longitude_sign", pointer: "/sites/2", row: "s3" },
    ],
    [
      "a subscriber the wrong way round",
      { subscribers: [{ ...subscriber, lon: 40.82, lat: -76.7488 }] },
      undefined,
      { code: "coordinates_swapped", pointer: "/subscribers/0", row: "u1" },
    ],
    [
      "a place that is just wrong",
      { subscribers: [{ ...subscriber, lon: -70 }] },
      undefined,
      { code: "far_away", pointer: "/subscribers/0", row: "u1", severity: "warning" },
    ],
    [
      "a site without a sector",
      { sites: [site, { id: "s2", lon: -76.7, lat: 40.8 }] },
      undefined,
      { code: "site_without_sector", pointer: "/sites/1", row: "s2", severity: "hint" },
    ],
  ])("name %s", (_what, values, groundM, expected) => {
    expect(findings(values, groundM)).toMatchObject([expected]);
  });

  it("name a mast under ground where the other heights are above sea", () => {
    const network = parseNetwork({
      ...createExampleNetwork(),
      ...elsewhere,
      model: OPEN_LAND,
      sites,
      sectors: [450, 460, 200].map((heightAglM, index) => ({ ...onEach[index], heightAglM })),
    });
    const codes = findNetworkSlips(network, facts(3, 425)).map(({ code, row }) => `${row} ${code}`);
    expect(codes).toEqual(["n0 height_above_sea", "n1 height_above_sea", "n2 mast_under_ground"]);
  });

  it("hint at magnetic azimuths where all are off alike, and only there", () => {
    const turned = (azimuths: number[]) => ({
      ...elsewhere,
      sites: [site],
      sectors: azimuths.map((azimuthDeg, index) => ({ ...north, id: `n${index}`, azimuthDeg })),
    });
    // 11 degrees: declination west in the north-east of the United States.
    expect(findings(turned([11, 101, 191, 281]))).toMatchObject([
      { code: "magnetic_azimuth", severity: "hint", row: "n0" },
    ]);
    for (const good of [
      [0, 90, 180, 270],
      [11, 101, 195, 281],
      [11, 101],
      [1, 91, 181],
    ])
      expect(findings(turned(good))).toEqual([]);
  });

  // A Gaussian beam of 60 by 10 degrees, 12 (angle / width)^2 dB: 41253 / 600 = 68.8, 18.4 dBi (common practice, no source).
  const lobe = (widthDeg: number, stepDeg: number) =>
    Array.from({ length: 21 }, (_, index) => (index - 10) * stepDeg).map((deg) => [
      deg,
      -Math.min(30, 12 * (deg / widthDeg) ** 2),
    ]);
  it.each([
    [16, undefined],
    [18.3, undefined],
    [18.5, { code: "gain_above_beam_width", severity: "warning", pointer: "/antennas/0/gainDbi" }],
    [20, { code: "gain_above_beam_width", severity: "error" }],
    [0, { code: "gain_below_beam_width", severity: "warning" }],
  ])("compare a gain of %d dBi with a beam of 60 by 10 degrees", (gainDbi, expected) => {
    const antennas = [
      { id: "a2", kind: "cuts", gainDbi, horizontal: lobe(60, 15), vertical: lobe(10, 4) },
      ...example.antennas.filter(({ id }) => id !== "a2"),
    ];
    expect(findings({ antennas })).toMatchObject(expected ? [expected] : []);
  });

  it("name cuts that are not normalised", () => {
    const lowered = lobe(60, 15).map(([deg, levelDb = 0]) => [deg, levelDb - 16]);
    const antennas = [
      { id: "a2", kind: "cuts", gainDbi: 16, horizontal: lowered, vertical: lobe(10, 4) },
      ...example.antennas.filter(({ id }) => id !== "a2"),
    ];
    expect(findings({ antennas })).toMatchObject([
      { code: "levels_not_normalised", pointer: "/antennas/0/horizontal", row: "a2" },
    ]);
  });

  it("a sector without a channel is refused by its row", () => {
    const { channel: _channel, ...bare } = south;
    expect(() => parseNetwork({ ...createExampleNetwork(), sectors: [north, bare] })).toThrow("/sectors/1/channel");
  });
});
