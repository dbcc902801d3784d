import { toDb } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeAcirDb, computeChannelCoupling } from "./channel-coupling.ts";

const at = (centreMhz: number, widthMhz = 20) => ({ centreMhz, widthMhz });
const couplingDb = (interferer: number[], victim: number[]) =>
  toDb(computeChannelCoupling(at(interferer[0], interferer[1]), at(victim[0], victim[1])));

describe("what of an interferer counts in a channel", () => {
  it("is all of it on the same channel, and the part that overlaps a narrower one", () => {
    expect(couplingDb([5600], [5600])).toBe(0);
    expect(couplingDb([5600, 40], [5600, 20])).toBeCloseTo(-3.01, 2);
    expect(couplingDb([5600, 20], [5600, 40])).toBe(0);
    expect(couplingDb([5600], [5610])).toBeCloseTo(-3.01, 1);
  });

  it("is 23, 39 and 55 dB less next to it, second next and beyond (IEEE Std 802.11-2020 21.3.18)", () => {
    for (const sign of [-1, 1]) {
      expect(couplingDb([5600], [5600 + sign * 20])).toBeCloseTo(-23, 9);
      expect(couplingDb([5600], [5600 + sign * 40])).toBeCloseTo(-39, 9);
      expect(couplingDb([5600], [5600 + sign * 60])).toBeCloseTo(-55, 9);
      expect(couplingDb([5600], [5600 + sign * 1000])).toBeCloseTo(-55, 6);
    }
  });

  it("spreads with the width of the interferer", () => {
    expect(couplingDb([5600, 80], [5650, 20])).toBeCloseTo(-23 - 6.02, 2);
    expect(couplingDb([5600, 20], [5650, 80])).toBeCloseTo(-22.9, 1);
  });

  it("follows the leak and the selectivity of the radios where they are stated, over the whole next channel and beyond", () => {
    const poor = { leakageDb: 20, selectivityDb: 20 };
    expect(computeAcirDb({ leakageDb: 27, selectivityDb: 27 })).toBeCloseTo(23.99, 2);
    expect(toDb(computeChannelCoupling(at(5600), at(5620), poor))).toBeCloseTo(-16.99, 2);
    const good = { leakageDb: 70, selectivityDb: 70 };
    expect(toDb(computeChannelCoupling(at(5600), at(5640), good))).toBeCloseTo(-67, 1);
  });

  it("falls as the channels part", () => {
    let before = 1;
    for (let offset = 0; offset <= 120; offset += 1) {
      const now = computeChannelCoupling(at(5600), at(5600 + offset, 40));
      expect(now).toBeLessThanOrEqual(before * (1 + 1e-12));
      expect(now).toBeGreaterThan(0);
      before = now;
    }
  });
});
