import { describe, expect, it } from "vitest";
import { findWorstDb, WORLDS } from "./testing/exact-worlds.ts";

/** Short radials and some cells of each world: sweep-exact.slow.test.ts has longer ones and 18,750 cells in all. */
const RADIUS_M = 1300;
const CELLS = 80;

describe.each(Object.entries(WORLDS))(
  "the sweep over %s equals the literal method (ITU-R P.526-15 4.5)",
  (name, ground) => {
    const seed = name.length * 7919;
    const worstDb = (traits: Omit<Parameters<typeof findWorstDb>[1], "radiusM">) =>
      findWorstDb(ground, { radiusM: RADIUS_M, ...traits }, CELLS);

    it("to 1e-9 dB by the formulas", () => {
      expect(worstDb({ seed, cover: "bare" })).toBeLessThan(1e-9);
    });

    it("to 1e-9 dB with buildings on the ground", () => {
      expect(worstDb({ seed: seed + 1, cover: "buildings" })).toBeLessThan(1e-9);
    });

    it("to 0.005 dB over and through trees, and from the roofs of houses among them", () => {
      expect(worstDb({ seed: seed + 3, cover: "trees" })).toBeLessThan(0.005);
      expect(worstDb({ seed: seed + 4, cover: "both" })).toBeLessThan(0.005);
    });

    it("to 1e-5 dB with tables", () => {
      expect(worstDb({ seed: seed + 2, cover: "bare", useTables: true })).toBeLessThan(1e-5);
    });
  },
);
