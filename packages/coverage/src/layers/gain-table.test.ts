import { cutsPattern, toAntennaFrame, tr38901Pattern } from "@fellmark/antenna";
import { seededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { bakeGainTable, tabulatedGainDbi } from "./gain-table.ts";

const panel = cutsPattern({
  gainDbi: 16,
  horizontal: [
    [0, 0],
    [45, -3],
    [90, -14],
    [180, -30],
    [270, -14],
    [315, -3],
  ],
  vertical: [
    [-90, -32],
    [-8, -12],
    [-4, -3],
    [0, 0],
    [4, -3],
    [8, -12],
    [90, -32],
  ],
});

describe.each([
  { name: "the 3GPP TR 38.901 element", pattern: tr38901Pattern() },
  { name: "a panel of 90 by 8 degrees", pattern: panel },
])("the gain table of $name", ({ pattern }) => {
  const pointing = { azimuthDeg: 133, downtiltDeg: 4 };
  const table = bakeGainTable(pattern, pointing, 0);

  it("reads the tilted pattern within 0.2 dB (p99) and 0.5 dB, 30 dB down from the peak", () => {
    const random = seededRandom(11);
    const errors: number[] = [];
    while (errors.length < 5000) {
      const azimuthDeg = 360 * random();
      const elevationDeg = 24 * random() - 12;
      const own = toAntennaFrame(azimuthDeg, elevationDeg, pointing);
      const exact = pattern.gainDbi(own.azimuthDeg, own.elevationDeg, 0);
      if (exact < pattern.peakGainDbi - 30) continue;
      errors.push(Math.abs(tabulatedGainDbi(table, azimuthDeg, elevationDeg) - exact));
    }
    errors.sort((a, b) => a - b);
    expect(errors[4950]).toBeLessThan(0.2);
    expect(errors[4999]).toBeLessThan(0.5);
  });

  it("covers zenith, nadir and the turn of the azimuth", () => {
    for (const [azimuthDeg, elevationDeg] of [
      [0, 90],
      [0, -90],
      [359.999, 3],
      [360, 3],
    ] as const) {
      const own = toAntennaFrame(azimuthDeg, elevationDeg, pointing);
      const exact = pattern.gainDbi(own.azimuthDeg, own.elevationDeg, 0);
      expect(tabulatedGainDbi(table, azimuthDeg, elevationDeg)).toBeCloseTo(exact, 1);
    }
  });
});
