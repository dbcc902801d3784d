import { buildRateThresholds } from "@fellmark/radio";
import { createSeededRandom } from "@fellmark/testkit";
import { toMilliwatts, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { meanRateOverLevels, meanRateSteps, type RateSteps } from "./mean-rate.ts";

const table = buildRateThresholds({
  table: "802.11ax",
  widthMhz: 20,
  streams: 2,
  implementationDb: 2,
  share: 0.25,
  macEfficiency: 0.75,
});
const rateSinr = table.sinrDb.map(toRatio);
const { netMbps } = table;
const noiseMw = toMilliwatts(-95);

function rateAt({ signalMw, netMbps: rates }: RateSteps, levelMw: number): number {
  return rates[signalMw.findLastIndex((from) => levelMw >= from)] ?? 0;
}

it("is the plain table where there is one level", () => {
  const levelMw = toMilliwatts(-98);
  const steps = meanRateSteps({ noiseMw, levelsMw: Float64Array.of(levelMw), rateSinr, netMbps });
  expect(steps.signalMw).toEqual(rateSinr.map((sinr) => sinr * (noiseMw + levelMw)));
  expect(steps.netMbps).toEqual(netMbps);
});

it("is a mean of rates: one level of two too strong halves the rate", () => {
  const rates = {
    noiseMw: 1,
    rateSinr: Float64Array.of(1),
    netMbps: Float64Array.of(10),
    levelsMw: Float64Array.of(0, 9),
  };
  expect([0.9, 1, 9.9, 10].map((signalMw) => meanRateOverLevels(signalMw, rates))).toEqual([0, 5, 5, 10]);
  expect(meanRateSteps(rates)).toEqual({ signalMw: Float64Array.of(1, 10), netMbps: Float64Array.of(5, 10) });
});

describe("32 levels folded into 64 steps", () => {
  const random = createSeededRandom(3);
  const levelsMw = Float64Array.from({ length: 32 }, () => toMilliwatts(-110 + 35 * random())).sort();
  const rates = { noiseMw, levelsMw, rateSinr, netMbps };
  const steps = meanRateSteps(rates);

  it("never promise more than the mean rate, and lack at most a fifth of the widest step of the table", () => {
    expect(steps.signalMw).toHaveLength(64);
    const widest = Math.max(...netMbps.map((rate, index) => rate - (netMbps[index - 1] ?? 0)));
    for (let signalDbm = -100; signalDbm < -30; signalDbm += 0.1) {
      const signalMw = toMilliwatts(signalDbm);
      const lacking = meanRateOverLevels(signalMw, rates) - rateAt(steps, signalMw);
      expect(lacking).toBeGreaterThanOrEqual(0);
      expect(lacking).toBeLessThan(widest / 5);
    }
  });

  it("rise to the full rate", () => {
    expect(steps.signalMw).toEqual(steps.signalMw.toSorted());
    expect(steps.netMbps).toEqual(steps.netMbps.toSorted());
    expect(steps.netMbps[63]).toBeCloseTo(netMbps[netMbps.length - 1], 9);
  });

  it("more noise never raises a rate", () => {
    for (let signalDbm = -100; signalDbm < -30; signalDbm += 1) {
      const signalMw = toMilliwatts(signalDbm);
      const noisier = meanRateOverLevels(signalMw, { ...rates, noiseMw: 1.3 * noiseMw });
      expect(noisier).toBeLessThanOrEqual(meanRateOverLevels(signalMw, rates));
    }
  });
});
