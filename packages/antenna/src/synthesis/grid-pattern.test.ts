import { createSeededNormal, RAD_PER_DEG } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import type { PatchArrayDescription } from "../description.ts";
import { createGridPattern, type GridSource } from "./grid-pattern.ts";
import type { LossPart } from "./loss-parts.ts";
import { createPatchArraySource } from "./patch-array.ts";
import { createPyramidalHornSource } from "./pyramidal-horn.ts";

const FREQUENCY_GHZ = 5.8;
const IDEAL = { frequencyGhz: FREQUENCY_GHZ, lossDb: 0, parts: new Set<LossPart>(), feedPurityDb: 25 };
const SECTOR: PatchArrayDescription = {
  kind: "patch-array",
  columns: 2,
  rows: 16,
  columnSpacingM: 0.035,
  rowSpacingM: 0.042,
  rowTaper: { kind: "chebyshev", sideLobeDb: 20 },
  electricalDowntiltDeg: 3,
  designFrequencyGhz: FREQUENCY_GHZ,
};
const HORN = { kind: "pyramidal-horn", widthM: 0.2, heightM: 0.15, slantLengthHM: 0.3, slantLengthEM: 0.28 } as const;

/** Level of the field itself, any scale. */
function fieldDb(source: GridSource, azimuthDeg: number, elevationDeg: number): number {
  const out = new Float64Array(4);
  const azimuth = azimuthDeg * RAD_PER_DEG;
  source.row(elevationDeg * RAD_PER_DEG, 1)(Math.sin(azimuth), Math.cos(azimuth), out);
  return 10 * Math.log10(out[0] ** 2 + out[1] ** 2);
}

describe("reading a sampled pattern against its field", () => {
  it.each([
    { name: "sector", source: createPatchArraySource(SECTOR, FREQUENCY_GHZ) },
    { name: "panel", source: createPatchArraySource({ ...SECTOR, columns: 8, rows: 8 }, FREQUENCY_GHZ) },
    { name: "flat, wide array", source: createPatchArraySource({ ...SECTOR, columns: 16, rows: 2 }, FREQUENCY_GHZ) },
    { name: "horn", source: createPyramidalHornSource(HORN, FREQUENCY_GHZ) },
  ])("$name: within 0.05 dB where the gain is above the peak less 30 dB", ({ source }) => {
    const pattern = createGridPattern(source, IDEAL, "");
    const normal = createSeededNormal(1);
    const [azimuth0, elevation0] = [1.5, -2];
    const scaleDb = pattern.gainDbi(azimuth0, elevation0, 1) - fieldDb(source, azimuth0, elevation0);
    let worst = 0;
    for (let i = 0; i < 20_000; i++) {
      const azimuthDeg = Math.max(-180, Math.min(180, 60 * normal()));
      const elevationDeg = Math.max(-90, Math.min(90, 25 * normal()));
      const gainDbi = pattern.gainDbi(azimuthDeg, elevationDeg, 1);
      if (gainDbi < pattern.peakGainDbi - 30) continue;
      worst = Math.max(worst, Math.abs(gainDbi - scaleDb - fieldDb(source, azimuthDeg, elevationDeg)));
    }
    expect(worst).toBeLessThan(0.05);
  });

  it("closes at azimuth 180 and has one value straight up", () => {
    const pattern = createGridPattern(createPatchArraySource(SECTOR, FREQUENCY_GHZ), IDEAL, "");
    for (const elevationDeg of [-40, 0, 3]) {
      expect(pattern.gainDbi(-180, elevationDeg, 1)).toBeCloseTo(pattern.gainDbi(180, elevationDeg, 1), 4);
    }
    expect(pattern.gainDbi(190, 5, 0)).toBeCloseTo(pattern.gainDbi(-170, 5, 0), 9);
    for (const azimuthDeg of [-120, 45, 180]) {
      expect(pattern.gainDbi(azimuthDeg, 90, 0)).toBeCloseTo(pattern.gainDbi(0, 90, 0), 1);
    }
  });
});
