import { describe, expect, it } from "vitest";
import { computeUpRateMbps, findUpReserve, type UpLink } from "./up-link.ts";

/** All streams: 10 Mbit/s from 2 mW, 40 from 8. A single one: 7 from 1 mW, 20 from 4. */
const LINK: UpLink = {
  ...{ leastMw: 8, mostMw: 16, raise: 1, sigmaDb: 10 },
  all: { levelMw: Float64Array.of(2, 8), mbps: Float64Array.of(0, 10, 40) },
  single: { levelMw: Float64Array.of(1, 4), mbps: Float64Array.of(0, 7, 20) },
};
const NOW = { fadeDb: 0, confidenceFactor: 0 };
const rateOf = (change: Partial<UpLink>, margins = NOW) => computeUpRateMbps({ ...LINK, ...change }, margins);

describe("the rate of an uplink", () => {
  it("is that of all streams by the weaker port", () => {
    expect(rateOf({})).toBe(40);
    expect(rateOf({ leastMw: 7.9 })).toBe(20);
    expect(rateOf({ leastMw: 7.9, mostMw: 7.9 })).toBe(20);
  });

  it("is that of a single stream by the stronger port where that is faster, whichever the weaker is", () => {
    expect(rateOf({ leastMw: 2, mostMw: 16 })).toBe(20);
    expect(rateOf({ leastMw: 2, mostMw: 3 })).toBe(10);
    expect(rateOf({ leastMw: 0.1, mostMw: 1 })).toBe(7);
    expect(rateOf({ leastMw: 0.1, mostMw: 0.9 })).toBe(0);
  });

  it("falls by fading, by sigmas of error, and by noise that counts more", () => {
    // 3.02 dB are half: 4 mW and 8 mW are left.
    expect(rateOf({}, { fadeDb: 3.02, confidenceFactor: 0 })).toBe(20);
    expect(rateOf({}, { fadeDb: 0, confidenceFactor: 0.302 })).toBe(20);
    expect(rateOf({ raise: 2.01 })).toBe(20);
    expect(rateOf({ raise: 1, sigmaDb: 0 }, { fadeDb: 0, confidenceFactor: 5 })).toBe(40);
  });
});

describe("sigmas that an uplink has in hand", () => {
  it("are dB over the least level for the speed, less the fade margin, by the better of both ways", () => {
    // 40 Mbit/s needs all streams: 8 of 8 mW; 20 a single one: 16 over 4 mW, 6.02 dB; 7: 16 over 1 mW, 12.04 dB.
    expect(findUpReserve(LINK, 40, 0)).toBeCloseTo(0, 9);
    expect(findUpReserve(LINK, 20, 0)).toBeCloseTo(0.602, 3);
    expect(findUpReserve(LINK, 7, 2)).toBeCloseTo(1.004, 3);
    // 15 Mbit/s: 8 over 8 mW by all streams, 16 over 4 mW by one.
    expect(findUpReserve(LINK, 15, 0)).toBeCloseTo(0.602, 3);
    expect(findUpReserve({ ...LINK, raise: 2 }, 20, 0)).toBeCloseTo(0.301, 3);
  });

  it("are none for a speed that no level has", () => {
    expect(findUpReserve(LINK, 41, 0)).toBe(Number.NEGATIVE_INFINITY);
  });
});
