import { readFileSync } from "node:fs";
import { join } from "node:path";
import { createSeededRandom, needsShared, sharedDir } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { ADJACENT_CHANNEL_DB } from "../channel-coupling.ts";
import { findModulationSnrDb, MODULATIONS } from "./modulation.ts";
import { buildRateThresholds } from "./net-rate.ts";
import { buildWifiRates, computePhyRateMbps, type RateStandard } from "./wifi-rates.ts";

function rowsOf(name: string): Record<string, string>[] {
  const [header, ...lines] = readFileSync(join(sharedDir, "standards", name), "utf8")
    .trim()
    .split(/\r?\n/);
  const names = header.split(",");
  return lines.map((line) => Object.fromEntries(line.split(",").map((value, i) => [names[i], value])));
}

describe("rates", () => {
  it("are those printed for the standard (IEEE Std 802.11-2020 and 802.11ax-2021, rate tables)", () => {
    const fast = (standard: RateStandard, widthMhz: number, index: number, streams: number, guardUs: number) =>
      computePhyRateMbps({ standard, widthMhz, index, streams, guardUs });
    expect(fast("802.11n", 20, 7, 1, 0.4)).toBeCloseTo(72.2, 1);
    expect(fast("802.11ac", 80, 9, 2, 0.4)).toBeCloseTo(866.7, 1);
    expect(fast("802.11ax", 20, 11, 1, 0.8)).toBeCloseTo(143.4, 1);
    expect(fast("802.11ax", 160, 11, 2, 0.8)).toBeCloseTo(2401.9, 1);
    expect(fast("802.11ac", 20, 9, 1, 0.8)).toBeNaN();
    expect(fast("802.11n", 80, 0, 1, 0.8)).toBeNaN();
  });

  it("need the ratios that follow from the sensitivities", () => {
    expect(MODULATIONS.map((_, index) => findModulationSnrDb(index))).toEqual([
      4, 7, 9, 12, 16, 20, 21, 22, 27, 29, 32, 34,
    ]);
  });

  it("leave out what 802.11ac excludes", () => {
    expect(
      buildWifiRates("802.11ac", { widthMhz: 20, streams: 2, guardIntervalUs: 0.8 }).map((row) => row.index),
    ).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8]);
    expect(buildWifiRates("802.11ac", { widthMhz: 80, streams: 2, guardIntervalUs: 0.8 })).toHaveLength(10);
    expect(() => buildWifiRates("802.11ac", { widthMhz: 25, streams: 2, guardIntervalUs: 0.8 })).toThrow(RangeError);
  });

  it("fold into rising thresholds of net rates", () => {
    const radio = { table: "802.11ax", widthMhz: 20, streams: 2, implementationDb: 2 } as const;
    const { sinrDb, netMbps } = buildRateThresholds({ ...radio, share: 0.75, macEfficiency: 0.75 });
    expect([sinrDb[0], sinrDb[11]]).toEqual([6, 36]);
    expect(netMbps[0]).toBeCloseTo(17.2 * 0.5625, 1);
    expect(netMbps[11]).toBeCloseTo(286.8 * 0.5625, 1);
    for (let i = 1; i < 12; i++) {
      expect(sinrDb[i]).toBeGreaterThan(sinrDb[i - 1]);
      expect(netMbps[i]).toBeGreaterThan(netMbps[i - 1]);
    }
  });
});

describe.skipIf(!needsShared())("tables of the standard", () => {
  it("every row of wifi_rates.csv, to its 0.1 Mbit/s", () => {
    const rows = rowsOf("wifi_rates.csv");
    expect(rows).toHaveLength(1920);
    for (const row of rows) {
      const rate = computePhyRateMbps({
        standard: `802.11${row.standard}` as RateStandard,
        widthMhz: Number(row.bandwidth_MHz),
        index: Number(row.mcs_modulation),
        streams: Number(row.nss),
        guardUs: Number(row.gi_us),
      });
      if (row.status === "excluded") expect(rate).toBeNaN();
      else expect(Math.abs(rate - Number(row.rate_Mbps))).toBeLessThan(0.0501);
    }
  });

  it("every row of wifi_sensitivity.csv gives the adjacent-channel ratios", () => {
    for (const row of rowsOf("wifi_sensitivity.csv")) {
      const snrDb = Number(row.implied_SNR_after_NF10_and_5dB_margin);
      const widthDb = 10 * Math.log10(Number(row.bandwidth_MHz) / 20);
      const { sensitivityDbm } = MODULATIONS[Number(row.mcs)];
      expect(Math.abs(sensitivityDbm + widthDb - Number(row.min_sensitivity_dBm))).toBeLessThan(0.05);
      const adjacentDb = 3 + Number(row.adjacent_rejection_dB) + snrDb;
      const nonadjacentDb = 3 + Number(row.nonadjacent_rejection_dB) + snrDb;
      expect(Math.abs(adjacentDb - ADJACENT_CHANNEL_DB.adjacent)).toBeLessThan(0.1);
      expect(Math.abs(nonadjacentDb - ADJACENT_CHANNEL_DB.secondAdjacent)).toBeLessThan(0.1);
    }
  });
});

it("asks more of the rates at which the radio has less power, and leaves out what then does not pay", () => {
  const common = {
    table: "802.11ax" as const,
    widthMhz: 20,
    streams: 1,
    implementationDb: 0,
    share: 1,
    macEfficiency: 1,
  };
  const plain = buildRateThresholds(common);
  const byRate = [
    { index: 10, powerDbm: 20 },
    { index: 11, powerDbm: 18 },
  ];
  const backedOff = buildRateThresholds({ ...common, power: { powerDbm: 22, byRate } });
  expect(backedOff.sinrDb.at(-1)).toBe((plain.sinrDb.at(-1) ?? 0) + 4);
  expect(backedOff.sinrDb.at(-2)).toBe((plain.sinrDb.at(-2) ?? 0) + 2);
  const strange = buildRateThresholds({ ...common, power: { powerDbm: 30, byRate: [{ index: 0, powerDbm: 10 }] } });
  expect(strange.sinrDb.length).toBe(plain.sinrDb.length - 1);
  expect([...strange.sinrDb]).toEqual([...strange.sinrDb].sort((a, b) => a - b));
});

it("gives no rate to more noise, nor takes one from more power, whatever the radio has at its rates", () => {
  const random = createSeededRandom(17);
  for (let trial = 0; trial < 300; trial++) {
    const byRate = Array.from({ length: 12 }, (_, index) => ({ index, powerDbm: 10 + 20 * random() }));
    const [powerDbm, pathDb, noiseDbm] = [10 + 20 * random(), 80 + 40 * random(), -95 + 10 * random()];
    const rateMbps = (power: number, noise: number) => {
      const radio = { table: "802.11ax", widthMhz: 20, streams: 2, implementationDb: 2, share: 0.75 } as const;
      const thresholds = buildRateThresholds({ ...radio, macEfficiency: 0.75, power: { powerDbm: power, byRate } });
      const reached = thresholds.sinrDb.filter((sinrDb) => power - pathDb - noise >= sinrDb).length;
      return reached === 0 ? 0 : thresholds.netMbps[reached - 1];
    };
    const before = rateMbps(powerDbm, noiseDbm);
    expect(rateMbps(powerDbm, noiseDbm + 6 * random())).toBeLessThanOrEqual(before);
    expect(rateMbps(powerDbm + 6 * random(), noiseDbm)).toBeGreaterThanOrEqual(before);
  }
});
