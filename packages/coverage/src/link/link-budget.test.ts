import { parseCoverageRequest } from "@fellmark/network";
import { describe, expect, it } from "vitest";
import { linkBudgets } from "./link-budget.ts";
import { createPatterns } from "./patterns.ts";

const DISH = { id: "cpe", kind: "dish", diameterM: 0.4, focalRatio: 0.4, edgeTaperDb: 11, idealLobes: true };

/** Budgets of one sector and one CPE, both fed 20 dBm, with changes of antenna, rule, radio and channel. */
function budgetOf({
  antenna = DISH as object,
  rule = null as string | null,
  radio = {},
  channel = {},
  sector = {},
  cpe = {},
} = {}) {
  const request = parseCoverageRequest({
    version: 1,
    area: { radiusM: 5000, zoom: 12 },
    sites: [{ id: "mast", lon: -30, lat: 12 }],
    antennas: [{ id: "sector", kind: "tr38901" }, antenna],
    radios: [{ id: "r", table: "802.11ax", ...radio }],
    sectors: [
      {
        ...{ id: "s", site: "mast", antenna: "sector", radio: "r", heightAglM: 30, azimuthDeg: 0, powerDbm: 20 },
        channel: { centreMhz: 6105, widthMhz: 20, ...channel },
        ...sector,
      },
    ],
    cpe: { antenna: "cpe", radio: "r", heightAglM: 6, powerDbm: 20, rule, ...cpe },
    plans: [{ id: "p", downMbps: 20, upMbps: 5 }],
  });
  return linkBudgets(request, createPatterns(request))[0];
}

describe("a power rule with an elevation mask at a CPE (47 CFR 15.407(a)(4): 36 dBm, above 30 degrees 21 dBm)", () => {
  it("leaves a dish its 36 dBm, 15 dB more than a mask on its peak would", () => {
    const { up } = budgetOf({ rule: "us-5925-6425-fixed-client" });
    expect(up.eirpDbm).toBeCloseTo(36, 6);
    expect(up.binding).toBe("eirp");
  });

  it("holds an antenna of 8 dBi and 65 degrees to 22.14 dBm: 20 degrees off its aim it has 1.14 dB less", () => {
    const antenna = { id: "cpe", kind: "tr38901" };
    const { up } = budgetOf({ antenna, rule: "us-5925-6425-fixed-client" });
    expect(up.eirpDbm).toBeCloseTo(21 + 12 * (20 / 65) ** 2, 2);
    expect(up.binding).toBe("elevation-mask");
  });

  it("gives clients of an access point 30 dBm (47 CFR 15.407(a)(7))", () => {
    expect(budgetOf({ rule: "us-5925-6425-client" }).up.eirpDbm).toBeCloseTo(30, 1);
  });
});

describe("noise of a link", () => {
  it("has the rise and the noise figure of the receiving end: the CPE's down, the sector's up", () => {
    const { down, up } = budgetOf({ radio: { noiseFigureDb: 5 }, sector: { noiseRiseDb: 2 }, cpe: { noiseRiseDb: 3 } });
    // Thermal noise in 20 MHz: -174 + 73.01 dBm, to 0.1 dB.
    expect(down.noiseDbm).toBeCloseTo(-101 + 5 + 3, 1);
    expect(up.noiseDbm).toBeCloseTo(-101 + 5 + 2, 1);
  });
});

describe("rates of a link", () => {
  it("follow the radio's own table at the receiver's noise, without implementation loss", () => {
    const steps = [
      { sensitivityDbm: -90, rateMbps: 10 },
      { sensitivityDbm: -70, rateMbps: 100 },
    ];
    const radio = { table: "own", downShare: 0.5, macEfficiency: 1, ownTables: [{ widthMhz: 30, steps }] };
    const { rates, down } = budgetOf({ radio, channel: { widthMhz: 30 } });
    expect([...rates.single.down.netMbps]).toEqual([5, 50]);
    expect([...rates.down.netMbps]).toEqual([10, 100]);
    expect(rates.down.sinrDb[0] + down.noiseDbm).toBeCloseTo(-90, 9);
  });

  it("take the longer guard interval: 243.75 of 286.76 Mbit/s", () => {
    const fastest = (radio: object) => budgetOf({ radio }).rates.down.netMbps.at(-1) ?? 0;
    expect(fastest({ guardIntervalUs: 3.2 }) / fastest({})).toBeCloseTo(13.6 / 16, 9);
  });

  it("count gas at 60 GHz: 14.8 dB/km", () => {
    const antenna = { id: "cpe", kind: "isotropic", gainDbi: 30 };
    expect(budgetOf({ antenna, channel: { centreMhz: 60_000 } }).gasDbPerKm).toBeCloseTo(14.8, 1);
  });
});
