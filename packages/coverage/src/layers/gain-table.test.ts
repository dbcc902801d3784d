import { createCutsPattern, createTr38901Pattern, toAntennaFrame } from "@fellmark/antenna";
import { createSeededRandom } from "@fellmark/testkit";
import { RAD_PER_DEG, toDb } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createFrame } from "./build-layer-job.ts";
import { bakeGainTable, readFieldToward } from "./gain-table.ts";

const panel = createCutsPattern({
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

/** A dish of 7 degrees with a parabolic main lobe: the narrowest that a CPE is likely to be. */
const dish = {
  peakGainDbi: 27,
  gainDbi: (azimuthDeg: number, elevationDeg: number) => {
    const cosine = Math.cos(azimuthDeg * RAD_PER_DEG) * Math.cos(elevationDeg * RAD_PER_DEG);
    const offDeg = Math.acos(Math.max(-1, Math.min(1, cosine))) / RAD_PER_DEG;
    return 27 - Math.min(40, 12 * (offDeg / 7) ** 2);
  },
};

const pointing = { azimuthDeg: 133, downtiltDeg: 4, rollDeg: 2 };
const frame = createFrame(pointing);

describe.each([
  { name: "the 3GPP TR 38.901 element", pattern: createTr38901Pattern() },
  { name: "a panel of 90 by 8 degrees", pattern: panel },
  { name: "a dish of 7 degrees", pattern: dish },
])("the gain table of $name", ({ pattern }) => {
  const table = bakeGainTable(pattern.gainDbi, 0);

  const errorAt = (azimuthDeg: number, elevationDeg: number): number => {
    const own = toAntennaFrame(azimuthDeg, elevationDeg, pointing);
    const exact = pattern.gainDbi(own.azimuthDeg, own.elevationDeg, 0);
    const level = Math.cos(elevationDeg * RAD_PER_DEG);
    const ray = [level * Math.sin(azimuthDeg * RAD_PER_DEG), level * Math.cos(azimuthDeg * RAD_PER_DEG)];
    ray.push(Math.sin(elevationDeg * RAD_PER_DEG));
    const [ahead, right, up] = [0, 3, 6].map((at) => ray.reduce((sum, part, axis) => sum + part * frame[at + axis], 0));
    return exact < pattern.peakGainDbi - 30 ? Number.NaN : 2 * toDb(readFieldToward(table, ahead, right, up)) - exact;
  };

  it("reads the mounted pattern within 0.2 dB (p99) and 0.5 dB, down to 30 dB below the peak", () => {
    const random = createSeededRandom(11);
    const errors: number[] = [];
    while (errors.length < 5000) {
      const error = Math.abs(errorAt(360 * random(), 24 * random() - 12));
      if (!Number.isNaN(error)) errors.push(error);
    }
    errors.sort((a, b) => a - b);
    expect(errors[4950]).toBeLessThan(0.2);
    expect(errors[4999]).toBeLessThan(0.5);
  });

  it("covers the turn of the azimuth, and zenith and nadir, where some of these shapes have no single value", () => {
    for (const [azimuthDeg, elevationDeg] of [
      [0, 90],
      [0, -90],
      [359.999, 3],
      [360, 3],
    ] as const) {
      const error = errorAt(azimuthDeg, elevationDeg);
      const limitDb = Math.abs(elevationDeg) === 90 ? 1.5 : 0.1;
      if (!Number.isNaN(error)) expect(Math.abs(error)).toBeLessThan(limitDb);
    }
  });
});
