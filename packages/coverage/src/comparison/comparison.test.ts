import { parseCoverageRequest } from "@fellmark/network";
import { describe, expect, it } from "vitest";
import { CHANGE_CLASS, classifyChanges } from "./change-class.ts";
import { buildOverlapTable } from "./overlap-table.ts";

describe("the co-channel overlap of two sectors", () => {
  const request = (channels: number[], apartDeg = 90) =>
    parseCoverageRequest({
      version: 1,
      area: { radiusM: 5000, zoom: 12 },
      sites: [{ id: "mast", lon: -30, lat: 12 }],
      antennas: [
        { id: "a", kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" },
        { id: "cpe", kind: "isotropic", gainDbi: 20 },
      ],
      radios: [{ id: "r", table: "802.11ax" }],
      sectors: channels.map((centreMhz, index) => ({
        ...{ id: `s${index}`, site: "mast", antenna: "a", radio: "r", heightAglM: 30, azimuthDeg: apartDeg * index },
        ...{ channel: { centreMhz, widthMhz: 20 }, powerDbm: 20 },
      })),
      cpe: { antenna: "cpe", radio: "r", heightAglM: 6, powerDbm: 20 },
      plans: [{ id: "p", downMbps: 20, upMbps: 5 }],
    });

  it("has 0, 1.3, 2.6 and 5.0 dB at 0, 5, 10 and 20 degrees off it (ITU-R F.1336-5, 90 degrees wide, 90 apart)", () => {
    const [overlap] = buildOverlapTable(request([5600, 5600]));
    expect(overlap.azimuthDeg).toBeCloseTo(45, 0);
    expect(overlap.isSameChannel).toBe(true);
    const expected = [0, 1.3, 2.6, 5.0];
    overlap.places.forEach(({ ciDb }, index) => {
      expect(Math.abs(ciDb - expected[index])).toBeLessThan(0.15);
    });
  });

  it("has the adjacent channel's 23 dB more where the channels lie side by side", () => {
    const [overlap] = buildOverlapTable(request([5600, 5620]));
    expect(overlap.isSameChannel).toBe(false);
    for (const { ciDb, ciOnOneChannelDb } of overlap.places) expect(ciDb - ciOnOneChannelDb).toBeCloseTo(23, 1);
  });

  it("stands on both sides of two sectors back to back, between four all around, and nowhere on one azimuth", () => {
    const azimuths = (channels: number[], apartDeg: number) =>
      buildOverlapTable(request(channels, apartDeg)).map(({ azimuthDeg }) => Math.round(azimuthDeg));
    expect(azimuths([5600, 5600], 180)).toEqual([90, 270]);
    expect(azimuths([5600, 5620, 5600, 5620], 90)).toEqual([45, 135, 225, 315]);
    expect(azimuths([5600, 5620], 0)).toEqual([]);
  });
});

it("classes what a change does to a cell: plans count from 1, the best", () => {
  const { unchanged, gained, lost, betterPlan, worsePlan, notKnown, outside } = CHANGE_CLASS;
  const cases = [
    [1, 1, unchanged],
    [0, 0, unchanged],
    [0, 2, gained],
    [2, 0, lost],
    [2, 1, betterPlan],
    [1, 2, worsePlan],
    [254, 254, notKnown],
    [255, 255, outside],
    [255, 1, gained],
    [1, 255, lost],
  ];
  const classes = classifyChanges(
    Uint8Array.from(cases, ([before]) => before),
    Uint8Array.from(cases, ([, after]) => after),
  );
  expect([...classes]).toEqual(cases.map(([, , change]) => change));
});
