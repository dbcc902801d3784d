import { createSeededRandom } from "@fellmark/testkit";
import { toDb, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import {
  computeDiscrimination,
  computeDownMargin,
  computeHoldProbability,
  computeKeptShare,
  computeSinr,
  countReached,
  findLeadingPort,
  selectStreams,
} from "./link-physics.ts";
import { createFollowed, followInterferer, meanRateOverStates, rateIndex } from "./mean-rate.ts";

describe("a link by hand", () => {
  it("keeps a hundredth of its signal after 14 dB of fading and 1.5 sigmas of 4 dB", () => {
    expect(computeKeptShare(14, 1.5, 4)).toBeCloseTo(0.01, 12);
  });

  it("has SINR 2 from half of 10 mW over 1 mW of noise and half of 3 mW of its own site", () => {
    expect(computeSinr(10, 1, 3, 0.5)).toBe(2);
    expect(computeSinr(10, 1, 3, 1)).toBe(2.5);
  });

  it("may fall by half until SINR 4 is lost: (10 - 4 * 0.5) / (4 * 1)", () => {
    expect(computeDownMargin(10, 1, 0.5, 4)).toBe(2);
    expect(computeDownMargin(10, 1, 2.5, 4)).toBe(0);
    expect(computeDownMargin(10, 1, 3, 4)).toBeLessThan(0);
  });

  it("holds with Phi(2) = 0.97725 where 20 dB are to spare, 10 dB fade and sigma is 5 dB", () => {
    expect(computeHoldProbability(100, 10, 5)).toBeCloseTo(0.977_249_868, 8);
    expect(computeHoldProbability(10, 10, 5)).toBeCloseTo(0.5, 8);
    expect([0, -1, Number.NaN].map((margin) => computeHoldProbability(margin, 10, 5))).toEqual([0, 0, 0]);
  });

  it("is told by the worse port with two streams, by the better with one, and goes by whatever gives more", () => {
    const ports = (isSingleStream: boolean) => [
      findLeadingPort(isSingleStream, 2, 3),
      findLeadingPort(isSingleStream, 3, 2),
      findLeadingPort(isSingleStream, 2, 2),
    ];
    expect([ports(false), ports(true)]).toEqual([
      [0, 1, 0],
      [1, 0, 0],
    ]);
    expect([selectStreams(30, 20), selectStreams(20, 30)]).toEqual([30, 30]);
  });

  it("meets others by gain and scatter over the gain at its aim, and reaches levels from their edge on", () => {
    expect(computeDiscrimination(0.5, 0.1, 2)).toBe(1.2);
    const levels = Float64Array.of(1, 2, 2, 5);
    expect([0.9, 1, 1.9, 2, 4.9, 5, 6].map((level) => countReached(levels, level))).toEqual([0, 1, 1, 3, 3, 4, 4]);
    expect([0.9, 1, 1.9, 2, 4.9, 5, 6].map((level) => rateIndex(levels, level))).toEqual([0, 1, 1, 3, 3, 4, 4]);
  });
});

it("has exactly the least SINR once it has fallen by its margin, over 1,000 seeded links", () => {
  const random = createSeededRandom(5);
  const level = () => toRatio(60 * random() - 60);
  for (let tried = 0; tried < 1000; tried++) {
    const [signalMw, steadyMw, ownSiteMw, least] = [100 * level(), level(), level(), toRatio(30 * random())];
    const margin = computeDownMargin(signalMw, steadyMw, ownSiteMw, least);
    if (margin <= 0) expect(computeSinr(signalMw, 0, ownSiteMw, 1)).toBeLessThanOrEqual(least * (1 + 1e-12));
    else expect(toDb(computeSinr(signalMw, steadyMw, ownSiteMw, 1 / margin) / least)).toBeCloseTo(0, 8);
  }
});

describe("interferers that come and go", () => {
  it("are followed from the strongest on, four of them, the first of equals first", () => {
    const followed = createFollowed();
    [3, 9, 1, 5, 9, 4].forEach((levelMw, index) => {
      followInterferer(followed, levelMw, index / 10);
    });
    expect(followed).toEqual({
      onMw: Float64Array.of(9, 9, 5, 4),
      onShare: Float64Array.of(0.1, 0.4, 0.3, 0.5),
      count: 4,
    });
  });

  it("leave the mean of the rates of their states: 10 mW, noise 1, two of 9 and 4 mW for 0.5 and 0.25 of the time", () => {
    const followed = createFollowed();
    followInterferer(followed, 9, 0.5);
    followInterferer(followed, 4, 0.25);
    const meanNoiseMw = 1 + 9 * 0.5 + 4 * 0.25;
    // SINR 10 (0.375 of the time), 2 (0.125), 1 (0.375) and 10/14 (0.125).
    const mean = meanRateOverStates(
      10,
      meanNoiseMw,
      followed,
      Float64Array.of(0.9, 1.5, 5),
      Float64Array.of(0, 8, 16, 40),
    );
    expect(mean).toBeCloseTo(0.375 * 40 + 0.125 * 16 + 0.375 * 8, 12);
  });
});
