import { createSeededRandom } from "@fellmark/testkit";
import { toDb, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import {
  computeDiscrimination,
  computeDownMargin,
  computeHoldProbability,
  computeKeptShare,
  computeReserve,
  computeSinr,
  countReached,
  findLeadingPort,
  selectStreams,
} from "./link-physics.ts";

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
    const chanceOf = (margin: number) => computeHoldProbability(computeReserve(margin, 10, 5));
    expect(chanceOf(100)).toBeCloseTo(0.977_249_868, 8);
    expect(chanceOf(10)).toBeCloseTo(0.5, 8);
    expect([0, -1, Number.NaN, Number.POSITIVE_INFINITY].map(chanceOf)).toEqual([0, 0, 0, 1]);
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
