import { createSeededRandom } from "@fellmark/testkit";
import { toDb, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeDownRateMbps, findDownReserve } from "./down-link.ts";
import { computePortRate, createDownPort, fillDownPort, rateIndex } from "./down-port.ts";
import { createFollowed, followInterferer } from "./followed-interferers.ts";
import { computeHoldProbability } from "./link-physics.ts";

interface Changing {
  onMw: number;
  share: number;
  own?: boolean;
  sigmaDb?: number;
}

/** A port at which interferers come and go, of a signal with a spread of 5 dB. */
function portOf(signalMw: number, noiseMw: number, ...interferers: Changing[]) {
  const followed = createFollowed();
  const sums = { ownSiteMw: 0, constantMw: 0, changingMw: 0 };
  for (const { onMw, share, own = false, sigmaDb = 0 } of interferers) {
    followInterferer(followed, { onMw, onShare: share, isOwnSite: own, sigmaDb });
    sums[own ? "ownSiteMw" : "changingMw"] += onMw * share;
  }
  const port = createDownPort();
  const noise = { meanDb: toDb(noiseMw), variance: 0 };
  fillDownPort(port, { signalMw, sigmaDb: 5, noiseMw, ...sums, noise, followed });
  return port;
}

const RATES = { sinr: Float64Array.of(0.9, 1.5, 5), mbps: Float64Array.of(0, 8, 16, 40) };

describe("interferers that come and go", () => {
  it("are followed from the strongest on, four of them, the first of equals first", () => {
    const followed = createFollowed();
    [3, 9, 1, 5, 9, 4].forEach((levelMw, index) => {
      followInterferer(followed, { onMw: levelMw, onShare: index / 10, isOwnSite: index === 3, sigmaDb: index });
    });
    expect(followed).toEqual({
      onMw: Float64Array.of(9, 9, 5, 4),
      onShare: Float64Array.of(0.1, 0.4, 0.3, 0.5),
      isOwnSite: Uint8Array.of(0, 0, 1, 0),
      sigmaDb: Float64Array.of(1, 4, 3, 5),
      count: 4,
    });
  });

  it("leave the mean of the rates of their states: 10 mW, noise 1, two of 9 and 4 mW for 0.5 and 0.25 of the time", () => {
    const port = portOf(10, 1, { onMw: 9, share: 0.5 }, { onMw: 4, share: 0.25 });
    // SINR 10 (0.375 of the time), 2 (0.125), 1 (0.375) and 10/14 (0.125).
    expect(computePortRate(port, RATES, 0, 0)).toBeCloseTo(0.375 * 40 + 0.125 * 16 + 0.375 * 8, 12);
  });

  it("fall with the signal where they stand on the server's site", () => {
    const own = portOf(10, 1, { onMw: 9, share: 0.5, own: true });
    // 0.51 of 10 mW over 1 mW and over 1 + 0.51 * 9 mW: SINR 5.1 and 0.91; with 9 mW unfaded it would be 0.51.
    expect(computePortRate(own, RATES, -toDb(0.51), 0)).toBeCloseTo(0.5 * 40 + 0.5 * 8, 12);
  });

  it("reach rates from their edge on", () => {
    const levels = Float64Array.of(1, 2, 2, 5);
    expect([0.9, 1, 1.9, 2, 4.9, 5, 6].map((level) => rateIndex(levels, level))).toEqual([0, 1, 1, 3, 3, 4, 4]);
  });
});

describe("what a speed has in hand", () => {
  const streams = { all: RATES, single: RATES };
  const chanceOf = (port: ReturnType<typeof portOf>, mbps: number) =>
    computeHoldProbability(findDownReserve([port], streams, mbps, 0));

  it("is that of the mean rate where an interferer is on for a fifth of the time, and not nothing", () => {
    // Over mean interference the SINR is 10 / (1 + 0.2 * 200) = 0.24, which has no rate at all.
    const port = portOf(10, 1, { onMw: 200, share: 0.2, sigmaDb: 6 });
    const now = { fadeDb: 0, confidenceFactor: 0 };
    expect(computeDownRateMbps([port], streams, now)).toBeCloseTo(0.8 * 40, 12);
    // Of 10 mW half may be lost until 16 and not 40 Mbit/s hold four fifths of the time: 3.01 of 5 dB.
    expect(chanceOf(port, 31.5)).toBeCloseTo(0.7264, 3);
    // More than it has now takes a stronger signal, or less interference, than predicted.
    expect(chanceOf(port, 32.5)).toBeLessThan(0.1);
  });

  it("is where the planned rate ends, over 300 seeded ports", () => {
    const random = createSeededRandom(7);
    let between = 0;
    for (let tried = 0; tried < 300; tried++) {
      const level = () => toRatio(30 * random() - 20);
      const interferers = Array.from({ length: Math.floor(4 * random()) }, () => {
        return { onMw: level(), share: 0.1 + 0.8 * random(), own: random() < 0.4, sigmaDb: 4 + 5 * random() };
      });
      const port = portOf(20 * level(), 0.1 * level(), ...interferers);
      const mbps = 1 + 38 * random();
      const reserve = findDownReserve([port], streams, mbps, 2);
      const rateAt = (confidenceFactor: number) =>
        computeDownRateMbps([port], streams, { fadeDb: 2, confidenceFactor });
      if (Number.isFinite(reserve)) {
        between++;
        expect(rateAt(reserve - 1e-9)).toBeGreaterThanOrEqual(mbps);
        expect(rateAt(reserve + 0.002)).toBeLessThan(mbps);
      } else {
        expect(rateAt(reserve > 0 ? 4 : -4) >= mbps).toBe(reserve > 0);
      }
    }
    expect(between).toBeGreaterThan(200);
  });
});
