import { describe, expect, it } from "vitest";
import { foliageLossDb, type Leaf, woodlandAttenuationDbPerM, woodlandGreatestLossDb } from "../index.ts";

const through = (lengthM: number, frequencyGhz = 5.8, leaf: Leaf = "in") =>
  foliageLossDb({ lengthM, frequencyGhz, leaf });
const wood = (lengthM: number, frequencyGhz = 5.8, leaf: Leaf = "in") =>
  foliageLossDb({ lengthM, frequencyGhz, leaf, model: "p833" });

describe("the loss through a screen of trees", () => {
  it("is what Weissberger's curve gives at 5.8 GHz (values worked by hand: 7.4, 10.4, 16.2 dB)", () => {
    expect(through(10)).toBeCloseTo(7.41, 2);
    expect(through(14)).toBeCloseTo(10.38, 2);
    expect(through(30)).toBeCloseTo(16.19, 2);
    expect(through(900)).toBe(through(400));
  });

  it("falls with the leaves as the fitted ITU-R curves do (worked by hand: 6.8 of 20.4 dB at 10 m, 5.8 GHz)", () => {
    expect(through(10, 5.8, "out") / through(10)).toBeCloseTo(6.8 / 20.4, 2);
    expect(through(400, 0.5, "out")).toBe(through(400, 0.5));
    expect(through(0, 5.8, "out")).toBe(0);
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
      expect(woodlandAttenuationDbPerM(frequencyGhz) / dbPerM).toBeGreaterThan(0.97);
      expect(woodlandAttenuationDbPerM(frequencyGhz) / dbPerM).toBeLessThan(1.26);
      expect(Math.abs(woodlandGreatestLossDb(frequencyGhz) - greatestDb)).toBeLessThan(3.5);
    }
  });

  it("saturates at most 4 dB below what was measured in another wood (P.833-10, 2.1: 46 dB, 200 m, 3.605 GHz)", () => {
    expect(wood(200, 3.605)).toBeGreaterThan(41);
    expect(wood(200, 3.605)).toBeLessThan(46);
  });

  it("starts at the specific attenuation, a sixth lower without leaves, and ends at the greatest loss with any", () => {
    expect(wood(0.001) / 0.001).toBeCloseTo(1.16, 3);
    expect(wood(0.001) / wood(0.001, 5.8, "out")).toBeCloseTo(1.2, 3);
    expect(wood(5000, 5.8, "out")).toBeCloseTo(woodlandGreatestLossDb(5.8), 6);
  });
});

it("never falls with length or frequency, and bare trees never lose more than trees in leaf", () => {
  for (const lossOf of [through, wood]) {
    for (const leaf of ["in", "out"] as const) {
      // The two pieces of Weissberger's curve part by 0.4 % where they meet, at 14 m.
      for (let m = 0; m < 400; m++) expect(lossOf(m + 1, 5.8, leaf)).toBeGreaterThan(0.996 * lossOf(m, 5.8, leaf));
      for (let ghz = 0.3; ghz < 30; ghz *= 1.1)
        expect(lossOf(27, ghz * 1.1, leaf)).toBeGreaterThan(lossOf(27, ghz, leaf));
    }
    for (let m = 0; m < 400; m++) expect(lossOf(m, 5.8, "out")).toBeLessThanOrEqual(lossOf(m));
  }
});
