import { computeStatisticalClutterLossDb } from "@fellmark/propagation";
import { describe, expect, it } from "vitest";
import { endClutterDb, findEndLaw } from "./end-clutter.ts";

const MODEL = { method: "path-clutter", foliage: "leaf-on", vegetationLaw: "weissberger" } as const;
const around = (kind: "trees" | "suburban" | "urban" | "open", heightM: number, isMeasured = false) => ({
  ...{ kind, heightM, isMeasured },
});

describe("the loss of an antenna among clutter", () => {
  it("is never less in a wood than among houses of its height, above 3 GHz, where no link was measured", () => {
    for (const frequencyGhz of [3.1, 3.6, 5.2, 5.8, 7]) {
      for (const antennaM of [1, 3, 6, 9, 11, 14, 14.9, 15, 20]) {
        const [wood, houses, town] = (["trees", "suburban", "urban"] as const).map((kind) =>
          endClutterDb(MODEL, around(kind, 15), antennaM, frequencyGhz),
        );
        expect(wood).toBeGreaterThanOrEqual(Math.max(houses, town));
        expect(endClutterDb({ ...MODEL, foliage: "leaf-off" }, around("trees", 15), antennaM, frequencyGhz)).toBe(wood);
      }
    }
  });

  it("is the median of P.2108-1, section 3.2, for an antenna 5 m and more below the tops: 32.1 dB at 5.6 GHz", () => {
    const lossDb = endClutterDb(MODEL, around("suburban", 10), 5, 5.6);
    expect(lossDb).toBe(computeStatisticalClutterLossDb(2000, 5.6, 0.5));
    // By hand: Ll = -2 lg(10^(-5 lg 5.6 - 12.5) + 10^-16.5) = 32.1 and Ls = 32.98 + 23.9 lg 2 + 3 lg 5.6 = 42.4 dB.
    expect(lossDb).toBeCloseTo(32.1, 1);
    expect(endClutterDb(MODEL, around("suburban", 10), 6, 5.6)).toBeLessThan(lossDb);
  });

  it("follows the law that is stated there, or none", () => {
    const lawOf = (kind: Parameters<typeof around>[0], antennaM: number, ghz: number, isMeasured = false) =>
      findEndLaw(MODEL, around(kind, 15, isMeasured), antennaM, ghz);
    expect([lawOf("trees", 6, 0.9), lawOf("open", 6, 0.9)]).toEqual(["p2108-terminal", "p2108-terminal"]);
    expect([lawOf("trees", 6, 5.6), lawOf("trees", 11, 5.6)]).toEqual(["p2108-statistical", "p2108-terminal"]);
    expect([lawOf("open", 6, 5.6), lawOf("trees", 15, 5.6), lawOf("trees", 6, 5.6, true)]).toEqual([null, null, null]);
    expect(findEndLaw({ ...MODEL, method: "p1812" }, around("trees", 15), 6, 0.9)).toBeNull();
  });
});
