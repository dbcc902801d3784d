import { describe, expect, test } from "vitest";
import { findExpiry, type TreesAtEnd } from "./expiry.ts";

/** A CPE 2 m over trees of 8 m, its plan as safe as may be. */
function trees(change: Partial<TreesAtEnd> = {}): TreesAtEnd {
  const sigmaDb = 4;
  return {
    treeHeightM: 8,
    antennaHeightAglM: 10,
    frequencyGhz: 5.6,
    foliage: "leaf-on",
    probability: 0.95,
    leastProbability: 0.9,
    sigmaDb,
    ...change,
  };
}

describe("the expiry of an answer", () => {
  test("is three years without trees, or where they cannot reach the line", () => {
    expect(findExpiry("2026-11-25", [])).toEqual({ on: "2029-11-25", because: "age" });
    expect(findExpiry("2026-11-25", [trees({ antennaHeightAglM: 11.5 })]).because).toBe("age");
    expect(findExpiry("2026-11-25", [trees({ antennaHeightAglM: 9 })]).because).toBe("trees");
  });

  test("is the month in which trees that grow a metre a year rise above the antenna by more than the margin", () => {
    // 0.95 over 0.9 at 4 dB: 4 (1.6449 - 1.2816) = 1.45 dB spare. Trees pass 9 m after 12 months; the loss over their
    // top is J(nu) - 6.03 (P.2108-1 eq 2a), 0 at grazing, so the answer holds at least a year.
    const { on } = findExpiry("2026-11-25", [trees({ antennaHeightAglM: 9 })]);
    expect(on >= "2027-11-25" && on < "2028-11-25").toBe(true);
  });

  test("comes sooner with less to spare and later with more", () => {
    const onOf = (probability: number) => findExpiry("2026-11-25", [trees({ antennaHeightAglM: 9, probability })]).on;
    expect(onOf(0.9)).toBe("2027-11-25");
    expect(onOf(0.92) <= onOf(0.95)).toBe(true);
    expect(onOf(0.95) < onOf(0.99999)).toBe(true);
  });

  test("is decided by whichever end is the first", () => {
    const low = trees({ antennaHeightAglM: 8.5, probability: 0.9 });
    expect(findExpiry("2026-11-25", [trees(), low]).on).toBe("2027-05-25");
  });

  test("keeps to days that exist", () => {
    expect(findExpiry("2024-02-29", []).on).toBe("2027-02-28");
    const low = trees({ antennaHeightAglM: 8.5, probability: 0.9 });
    expect(findExpiry("2026-08-31", [low]).on).toBe("2027-02-28");
  });
});
