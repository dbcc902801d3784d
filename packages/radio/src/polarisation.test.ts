import { createSeededRandom } from "@fellmark/testkit";
import { toDb, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computePolarisationCoupling, type PolarisationBasis } from "./polarisation.ts";

describe("coupling between polarisations", () => {
  it("keeps equal bases apart by the antenna's discrimination", () => {
    for (const basis of ["hv", "slant45"] as const) {
      const [[own, other], [back, last]] = computePolarisationCoupling({ fromBasis: basis, toBasis: basis, xpdDb: 25 });
      expect(toDb(own)).toBeCloseTo(0, 12);
      expect(toDb(other)).toBeCloseTo(-25, 12);
      expect([back, last]).toEqual([other, own]);
    }
  });

  it("protects nothing between horizontal or vertical and slant: half the power everywhere", () => {
    for (const xpdDb of [Number.POSITIVE_INFINITY, 25, 10]) {
      const half = (1 + toRatio(-xpdDb)) / 2;
      for (const row of computePolarisationCoupling({ fromBasis: "hv", toBasis: "slant45", xpdDb })) {
        for (const share of row) expect(share).toBeCloseTo(half, 12);
      }
    }
  });

  it("leaks by 20 log tan of the roll", () => {
    for (const rollDeg of [-30, -2, 5, 10, 45]) {
      const xpdDb = Number.POSITIVE_INFINITY;
      const [[own, other]] = computePolarisationCoupling({ fromBasis: "hv", toBasis: "hv", rollDeg, xpdDb });
      const tangentDb = 20 * Math.log10(Math.abs(Math.tan((rollDeg * Math.PI) / 180)));
      expect(toDb(other / own)).toBeCloseTo(tangentDb, 9);
    }
  });

  it("makes a slant pair of a level one by a roll of 45 degrees, and swaps the ports by one of 90", () => {
    const aligned = computePolarisationCoupling({ fromBasis: "hv", toBasis: "slant45", rollDeg: 45, xpdDb: 30 });
    expect(toDb(aligned[0][1])).toBeCloseTo(-30, 9);
    const swapped = computePolarisationCoupling({ fromBasis: "hv", toBasis: "hv", rollDeg: 90, xpdDb: 30 });
    expect(toDb(swapped[0][0])).toBeCloseTo(-30, 9);
    expect(swapped[0][1]).toBeCloseTo(1, 12);
  });

  it("neither loses nor makes power, whatever the bases and the roll", () => {
    const random = createSeededRandom(11);
    const bases: PolarisationBasis[] = ["hv", "slant45"];
    for (let trial = 0; trial < 200; trial++) {
      const [fromBasis, toBasis] = [bases[Math.floor(2 * random())], bases[Math.floor(2 * random())]];
      const xpdDb = 40 * random();
      const coupling = computePolarisationCoupling({ fromBasis, toBasis, rollDeg: 360 * random() - 180, xpdDb });
      for (const column of [0, 1]) {
        expect(coupling[0][column] + coupling[1][column]).toBeCloseTo(1 + toRatio(-xpdDb), 12);
      }
    }
  });
});
