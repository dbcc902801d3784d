import { describe, expect, it } from "vitest";
import { computeDownRateMbps, findDownReserve } from "./down-link.ts";
import { createDownPort, type DownPort } from "./down-port.ts";

/** A port of one state per entry: share of the time, and interference that stays, over 1 mW of noise. */
function portOf(signalMw: number, states: [number, number][] = [[1, 0]], ownSiteMw = 0): DownPort {
  const port = createDownPort();
  port.signalMw = signalMw;
  port.states = states.length;
  states.forEach(([share, interferenceMw], state) => {
    port.share[state] = share;
    port.steadyMw[state] = 1 + interferenceMw;
    port.ownSiteMw[state] = ownSiteMw;
    port.sigmaDb[state] = 10;
  });
  return port;
}

/** All streams: 10 Mbit/s from a SINR of 2, 40 from 8. A single one: 7 from 1, 20 from 4. */
const RATES = {
  all: { sinr: Float64Array.of(2, 8), mbps: Float64Array.of(0, 10, 40) },
  single: { sinr: Float64Array.of(1, 4), mbps: Float64Array.of(0, 7, 20) },
};
const NOW = { fadeDb: 0, confidenceFactor: 0 };

describe("the rate of a downlink", () => {
  it("is that of all streams by the worse port, or of a single one by the better if that is faster", () => {
    expect(computeDownRateMbps([portOf(9), portOf(8)], RATES, NOW)).toBe(40);
    expect(computeDownRateMbps([portOf(8), portOf(9)], RATES, NOW)).toBe(40);
    expect(computeDownRateMbps([portOf(9), portOf(2)], RATES, NOW)).toBe(20);
    expect(computeDownRateMbps([portOf(2), portOf(3)], RATES, NOW)).toBe(10);
    expect(computeDownRateMbps([portOf(0.1), portOf(1)], RATES, NOW)).toBe(7);
  });

  it("has no better port to choose where both are alike", () => {
    expect(computeDownRateMbps([portOf(5)], RATES, NOW)).toBe(10);
  });

  it("is the mean over the states of interferers, and falls with margins while they stay", () => {
    // SINR 8 for a quarter of the time, 2 for the rest: (40 + 3 * 10) / 4.
    const port = portOf(8, [
      [0.25, 0],
      [0.75, 3],
    ]);
    expect(computeDownRateMbps([port], RATES, NOW)).toBe(17.5);
    // Half the signal: SINR 4 and 1, so 10 for a quarter of the time.
    expect(computeDownRateMbps([port], RATES, { fadeDb: 3, confidenceFactor: 0.001 })).toBe(2.5);
  });
});

describe("sigmas that a downlink has in hand", () => {
  it("are dB over the least SINR of the speed, less the fade margin: by the worse port or a single stream's better", () => {
    expect(findDownReserve([portOf(16), portOf(80)], RATES, 40, 0)).toBeCloseTo(0.301, 3);
    expect(findDownReserve([portOf(80), portOf(16)], RATES, 40, 1)).toBeCloseTo(0.201, 3);
    // 20 Mbit/s: 16 over 8 by all streams (they have 40), 80 over 4 by a single one: 13.01 dB.
    expect(findDownReserve([portOf(16), portOf(80)], RATES, 20, 0)).toBeCloseTo(1.301, 3);
    expect(findDownReserve([portOf(16)], RATES, 20, 0)).toBeCloseTo(0.301, 3);
  });

  it("fall with interference of the own site, which falls with the signal", () => {
    // SINR 8 of (S k) / (1 + 1 k): 16 k = 8 + 8 k, so k = 1; 32 k = 8 + 8 k: k = 1 / 3, 4.77 dB.
    expect(findDownReserve([portOf(16, [[1, 0]], 1)], RATES, 40, 0)).toBeCloseTo(0, 9);
    expect(findDownReserve([portOf(32, [[1, 0]], 1)], RATES, 40, 0)).toBeCloseTo(0.477, 3);
  });

  it("are found by halving where interferers come and go: the mean rate decides", () => {
    const port = portOf(80, [
      [0.5, 0],
      [0.5, 9],
    ]);
    // 25 Mbit/s: 40 in one half and 10 in the other. SINR 80 falls to 8 at 10 dB, that of 8 to 2 at 6.02 dB.
    expect(findDownReserve([port], RATES, 25, 0)).toBeCloseTo(0.602, 2);
    expect(findDownReserve([port], RATES, 20, 0)).toBeCloseTo(1, 2);
    expect(findDownReserve([port], RATES, 20, 4)).toBeCloseTo(0.6, 2);
    expect(findDownReserve([port], RATES, 41, 0)).toBe(Number.NEGATIVE_INFINITY);
    expect(
      findDownReserve(
        [
          portOf(1e9, [
            [0.5, 0],
            [0.5, 1],
          ]),
        ],
        RATES,
        7,
        0,
      ),
    ).toBe(Number.POSITIVE_INFINITY);
  });
});
