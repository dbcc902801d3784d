import { describe, expect, test } from "vitest";
import { createAntennaPattern } from "./antenna-pattern.ts";
import { measurePort } from "./measure/measure-pattern.ts";
import { createIsotropicPattern } from "./pattern.ts";
import { createTr38901Pattern } from "./tr38901.ts";
import { removeLobes } from "./without-lobes.ts";

const array = createAntennaPattern(
  {
    kind: "patch-array",
    columns: 2,
    rows: 8,
    columnSpacingM: 0.027,
    rowSpacingM: 0.04,
    designFrequencyGhz: 5.5,
    feedLossDb: 1,
  },
  5.5,
);

const bareBy = { "peak-kept": removeLobes(array, "peak-kept"), renormalised: removeLobes(array, "renormalised") };

describe("a pattern without lobes", () => {
  test.each(["peak-kept", "renormalised"] as const)("%s: one that has none comes back as it is", (power) => {
    for (const pattern of [createIsotropicPattern(0), createTr38901Pattern(), bareBy[power]]) {
      expect(removeLobes(pattern, power)).toBe(pattern);
    }
  });

  test("peak-kept: the lobe keeps every number, the rest lies 80 dB under the peak or deeper", () => {
    const bare = bareBy["peak-kept"];
    expect(bare.peakGainDbi).toBeCloseTo(array.peakGainDbi, 1);
    for (const port of [0, 1] as const) {
      expect(bare.gainDbi(0, 0, port)).toBe(array.gainDbi(0, 0, port));
      expect(bare.gainDbi(20, 3, port)).toBe(array.gainDbi(20, 3, port));
      expect(bare.gainDbi(0, 15, port)).toBeLessThanOrEqual(array.peakGainDbi - 79.99);
      expect(bare.gainDbi(180, 0, port)).toBeLessThanOrEqual(array.peakGainDbi - 79.99);
      expect(measurePort(bare, port).elevation.worstSideLobe).toBeNull();
    }
  });

  test("renormalised: the power over the sphere stays, so the lobe is raised by what the lobes took", () => {
    const bare = bareBy.renormalised;
    const [before, after] = [measurePort(array, 1), measurePort(bare, 1)];
    expect(after.sphereMean).toBeCloseTo(before.sphereMean, 4);
    expect(bare.peakGainDbi).toBeGreaterThan(array.peakGainDbi + 0.3);
  });
});
