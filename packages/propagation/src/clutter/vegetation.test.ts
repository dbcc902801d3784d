import { describe, expect, it } from "vitest";
import type { Foliage } from "./foliage.ts";
import { isLawStated } from "./stated-ranges.ts";
import { computeVegetationLossDb } from "./vegetation.ts";
import { computeWoodlandAttenuationDbPerM, computeWoodlandGreatestLossDb } from "./woodland.ts";

const through = (lengthM: number, frequencyGhz = 5.8, foliage: Foliage = "leaf-on") =>
  computeVegetationLossDb({ lengthM, frequencyGhz, foliage });
const fitted = (lengthM: number, frequencyGhz = 5.8, foliage: Foliage = "leaf-on") =>
  computeVegetationLossDb({ lengthM, frequencyGhz, foliage, law: "fitted" });
const wood = (lengthM: number, frequencyGhz = 5.8, foliage: Foliage = "leaf-on") =>
  computeVegetationLossDb({ lengthM, frequencyGhz, foliage, law: "p833" });

describe("the loss through a screen of trees", () => {
  it("is what Weissberger's curve gives at 5.8 GHz (values worked by hand: 7.4, 10.4, 16.2 dB)", () => {
    expect(through(10)).toBeCloseTo(7.41, 2);
    expect(through(14)).toBeCloseTo(10.38, 2);
    expect(through(30)).toBeCloseTo(16.19, 2);
    expect(through(900)).toBe(through(400));
  });

  it("falls with the leaves as the fitted ITU-R curves do (worked by hand: 6.8 of 20.4 dB at 10 m, 5.8 GHz)", () => {
    expect(through(10, 5.8, "leaf-off") / through(10)).toBeCloseTo(6.8 / 20.4, 2);
    expect(through(400, 0.5, "leaf-off")).toBe(through(400, 0.5));
    expect(through(0, 5.8, "leaf-off")).toBe(0);
  });
});

describe("the loss in a wood by P.833", () => {
  it("has the specific attenuation and the greatest loss of the Recommendation's table, one forest", () => {
    // ITU-R P.833-10, section 2.1, table 1: GHz, dB/m, dB.
    const table = [
      [0.1059, 0.04, 9.4],
      [0.466475, 0.12, 18],
      [0.949, 0.17, 26.5],
      [1.8522, 0.3, 29],
      [2.1175, 0.34, 34.1],
    ];
    for (const [frequencyGhz, dbPerM, greatestDb] of table) {
      expect(computeWoodlandAttenuationDbPerM(frequencyGhz) / dbPerM).toBeGreaterThan(0.97);
      expect(computeWoodlandAttenuationDbPerM(frequencyGhz) / dbPerM).toBeLessThan(1.26);
      expect(Math.abs(computeWoodlandGreatestLossDb(frequencyGhz) - greatestDb)).toBeLessThan(3.5);
    }
  });

  it("saturates at most 4 dB below what was measured in another wood (P.833-10, 2.1: 46 dB, 200 m, 3.605 GHz)", () => {
    expect(wood(200, 3.605)).toBeGreaterThan(41);
    expect(wood(200, 3.605)).toBeLessThan(46);
  });

  it("starts at the specific attenuation, a sixth lower without leaves, and ends at the greatest loss with any", () => {
    expect(wood(0.001) / 0.001).toBeCloseTo(1.16, 3);
    expect(wood(0.001) / wood(0.001, 5.8, "leaf-off")).toBeCloseTo(1.2, 3);
    expect(wood(5000, 5.8, "leaf-off")).toBeCloseTo(computeWoodlandGreatestLossDb(5.8), 6);
  });
});

describe("the woods whose greatest loss P.833 prints parameters for (section 2.1, eq (2))", () => {
  it("are 1.15 f^0.43 at Mulhouse and 0.18 f^0.752 in the tropical park, f in MHz (worked by hand at 1 GHz)", () => {
    // 1000^0.43 = 19.4984, 1000^0.752 = 180.302, 1000^0.42 = 18.1970.
    expect(computeWoodlandGreatestLossDb(1, "forest")).toBeCloseTo(1.15 * 19.4984, 3);
    expect(computeWoodlandGreatestLossDb(1, "tropical-park")).toBeCloseTo(0.18 * 180.302, 3);
    expect(computeWoodlandGreatestLossDb(1, "mixed-forest")).toBeCloseTo(1.37 * 18.197, 3);
  });
});

describe("the laws beside each other at 5.8 GHz", () => {
  it("lose 32.9, 36.2 and 46.5 dB over 100 m in leaf (worked by hand from the three formulas)", () => {
    expect(through(100)).toBeCloseTo(32.86, 2);
    expect(fitted(100)).toBeCloseTo(36.21, 2);
    expect(wood(100)).toBeCloseTo(46.52, 2);
  });

  it("lose 26.6 and 44.0 dB over 100 m of bare trees by the fitted law and by P.833", () => {
    expect(fitted(100, 5.8, "leaf-off")).toBeCloseTo(26.65, 2);
    expect(wood(100, 5.8, "leaf-off")).toBeCloseTo(43.99, 2);
  });

  it("say where they are stated: no wood of P.833 was measured at 5.8 GHz, Weissberger's screens were", () => {
    expect(isLawStated("p833", 5.8)).toBe(false);
    expect(isLawStated("p833", 2.118)).toBe(true);
    expect(isLawStated("weissberger", 5.8)).toBe(true);
    expect(isLawStated("p2108-terminal", 3.001)).toBe(false);
    expect(isLawStated("p2108-statistical", 5.8)).toBe(true);
  });
});

it("never falls with length or frequency, and bare trees never lose more than trees in leaf", () => {
  for (const lossOf of [through, fitted, wood]) {
    for (const foliage of ["leaf-on", "leaf-off"] as const) {
      // The two pieces of Weissberger's curve part by 0.4 % where they meet, at 14 m.
      for (let m = 0; m < 400; m++)
        expect(lossOf(m + 1, 5.8, foliage)).toBeGreaterThan(0.996 * lossOf(m, 5.8, foliage));
      for (let ghz = 0.3; ghz < 30; ghz *= 1.1)
        expect(lossOf(27, ghz * 1.1, foliage)).toBeGreaterThan(lossOf(27, ghz, foliage));
    }
    for (let m = 0; m < 400; m++) expect(lossOf(m, 5.8, "leaf-off")).toBeLessThanOrEqual(lossOf(m));
  }
});
