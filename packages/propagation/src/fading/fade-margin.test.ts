import { describe, expect, it } from "vitest";
import { computeRainFadeDb, computeRainFadeInYearDb, toRainYearPercent } from "../atmosphere/rain.ts";
import { computeFadeMarginDb, type FadeInput } from "./fade-margin.ts";
import { computeMultipathOccurrence } from "./multipath.ts";

const RULES = ["vigants-barnett", "p530", "p530-detailed"] as const;

const margin = (distanceKm: number, availability: number, more: Partial<FadeInput> = {}) =>
  computeFadeMarginDb({
    rule: "vigants-barnett",
    distanceM: distanceKm * 1000,
    frequencyGhz: 5.8,
    availability,
    ...more,
  });

describe("the margin against multipath", () => {
  it("has the figures of Vigants and Barnett, worked by hand for 5.8 GHz and average terrain", () => {
    expect(margin(5, 0.9999)).toBeCloseTo(6.4, 1);
    expect(margin(10, 0.999)).toBeCloseTo(5.42, 2);
    expect(margin(10, 0.9999)).toBeCloseTo(15.42, 2);
    expect(margin(15, 0.999)).toBeCloseTo(10.7, 1);
    expect(margin(15, 0.9999)).toBeCloseTo(20.7, 1);
    expect(margin(20, 0.999)).toBeCloseTo(14.45, 2);
    expect(margin(20, 0.9999)).toBeCloseTo(24.45, 2);
  });

  it("asks for 6.02 dB more over water and 6.02 dB less in mountains (Vigants and Barnett: C is 4 and 0.25)", () => {
    const averageDb = margin(20, 0.9999);
    expect(margin(20, 0.9999, { terrainFactor: 4 })).toBeCloseTo(averageDb + 6.0206, 4);
    expect(margin(20, 0.9999, { terrainFactor: 0.25 })).toBeCloseTo(averageDb - 6.0206, 4);
  });

  it("agrees with a published worked example: 5 miles at 5.8 GHz with 21 dB hold 99.9986 % of the time", () => {
    expect(margin(5 * 1.609344, 0.999986)).toBeCloseTo(21, 0);
  });

  it("has the figures of P.530's quick method, worked by hand: -200 N/km, antennas at 230 and 200 m", () => {
    const path = { rule: "p530", refractivityGradient: -200, txAmslM: 230, rxAmslM: 200 } as const;
    expect(margin(10, 0.9999, path)).toBeCloseTo(6.96, 2);
    expect(margin(20, 0.9999, path)).toBeCloseTo(18.93, 2);
    expect(margin(30, 0.9999, path)).toBeCloseTo(25.63, 2);
    expect(margin(5, 0.9999, path)).toBe(0);
    expect(margin(10, 0.9999, { ...path, txAmslM: 200, rxAmslM: 230 })).toBe(margin(10, 0.9999, path));
  });

  it("is 16.4 dB by P.530 on a level path at the sea and 9.2 dB between antennas at 61 and 37 m: 10 km, 5.6 GHz", () => {
    // By hand: 10 lg(10^-4.06 10^3.1 5.6^0.8 / 0.01) = 16.39; less 12.9 lg(1 + 2.4) = 6.86 and 0.0089 * 37 = 0.33 dB.
    const path = { rule: "p530", frequencyGhz: 5.6 } as const;
    expect(margin(10, 0.9999, path)).toBeCloseTo(16.39, 2);
    expect(margin(10, 0.9999, { ...path, txAmslM: 61, rxAmslM: 37 })).toBeCloseTo(9.2, 1);
  });

  it("has the figures of P.530's detailed method, worked by hand: 27.0 dB level, 18.1 dB with heights and hills", () => {
    const path = { rule: "p530-detailed", frequencyGhz: 5.6 } as const;
    // 10 lg(10^(-4.4 + 0.54) 10^-0.46 20^3.4 5.6^0.8 / 0.01) = -38.6 - 4.6 + 44.235 + 5.985 + 20.
    expect(margin(20, 0.9999, path)).toBeCloseTo(27.02, 2);
    // Less 10.3 lg(1 + 24 / 20) = 3.527, 0.0076 * 237 = 1.801 and 4.6 lg(60 / 10) = 3.579 dB.
    const hills = { ...path, txAmslM: 261, rxAmslM: 237, terrainRoughnessM: 50 };
    expect(margin(20, 0.9999, hills)).toBeCloseTo(27.02 - 3.527 - 1.801 - 3.579, 2);
  });

  it("is nothing on short paths, and at the mast itself, by either rule", () => {
    for (const rule of RULES) {
      expect(margin(0.5, 0.999, { rule })).toBe(0);
      expect(margin(0, 0.999, { rule })).toBe(0);
      expect(margin(0, 0.999, { rule, rainMmPerHour: 42, txAmslM: 30 })).toBe(0);
    }
  });

  it("refuses what is not a share, and passes on a distance that is not known", () => {
    for (const availability of [0, 1, -0.1, 1.5, Number.NaN]) expect(() => margin(5, availability)).toThrow(RangeError);
    for (const rainMmPerHour of [0, 42]) expect(margin(Number.NaN, 0.999, { rainMmPerHour })).toBeNaN();
  });
});

describe("the margin against rain and multipath", () => {
  it("is that of rain alone on a short path, that of multipath alone on a long one: their depths do not add", () => {
    const at001Db = computeRainFadeDb({
      distanceM: 1000,
      frequencyGhz: 5.8,
      rainMmPerHour: 42,
      polarisation: "horizontal",
    });
    expect(margin(1, 0.999, { rainMmPerHour: 42 })).toBeCloseTo(
      computeRainFadeInYearDb(at001Db, 5.8, toRainYearPercent(0.1)),
      2,
    );
    expect(margin(10, 0.9999, { rainMmPerHour: 42 })).toBeCloseTo(margin(10, 0.9999), 9);
  });

  it("leaves outages of rain and of multipath that sum to what the availability leaves", () => {
    const path = { distanceM: 5000, frequencyGhz: 5.8, rainMmPerHour: 42 };
    const at001Db = computeRainFadeDb({ ...path, polarisation: "horizontal" });
    for (const rule of RULES) {
      const marginDb = computeFadeMarginDb({ ...path, rule, availability: 0.999, txAmslM: 60 });
      const multipath = computeMultipathOccurrence(rule, { ...path, txAmslM: 60 }) * 10 ** (-marginDb / 10);
      const rain = 0.001 - multipath;
      expect(rain).toBeGreaterThan(1e-5);
      expect(computeRainFadeInYearDb(at001Db, 5.8, toRainYearPercent(100 * rain))).toBeCloseTo(marginDb, 6);
    }
  });

  it("never falls with distance, availability, frequency or rain", () => {
    const growing: Record<"distanceM" | "availability" | "frequencyGhz" | "rainMmPerHour", number[]> = {
      distanceM: [0, 100, 1000, 3000, 5000, 6000, 7000, 8000, 12_000, 30_000],
      availability: [0.5, 0.9, 0.99, 0.999, 0.9999, 0.99999],
      frequencyGhz: [2.4, 3.5, 5.2, 5.8, 6.4, 11],
      rainMmPerHour: [0, 1, 20, 42, 100, 250],
    };
    for (const rule of RULES) {
      const base = { rule, distanceM: 6000, availability: 0.9995, frequencyGhz: 5.8, rainMmPerHour: 42 };
      for (const [name, values] of Object.entries(growing)) {
        const margins = values.map((value) => computeFadeMarginDb({ ...base, [name]: value }));
        expect(margins).toEqual(margins.toSorted((a, b) => a - b));
        expect(margins.at(-1)).toBeGreaterThan(margins[0]);
      }
    }
  });
});
