import { computeWavelengthM } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import type { AntennaDescription, DishDescription, PatchArrayDescription } from "../description.ts";
import { toLossRows } from "../draw/loss-text.ts";
import type { LossPart } from "../synthesis/loss-parts.ts";
import { buildLossTable, type LossRow, type LossTable } from "./loss-table.ts";

const FREQUENCY_GHZ = 5.8;
const LAMBDA_M = computeWavelengthM(FREQUENCY_GHZ);

/** A common dish: a sixth of its diameter in shadow, 1 mm of surface error. */
const DISH: DishDescription = {
  kind: "dish",
  diameterM: 0.6,
  focalRatio: 0.4,
  edgeTaperDb: 11,
  blockageDiameterM: 0.1,
  surfaceRmsM: 0.001,
  lossDb: 0.3,
};

const PANEL: PatchArrayDescription = {
  kind: "patch-array",
  columns: 4,
  rows: 8,
  columnSpacingM: 0.0375,
  rowSpacingM: 0.0375,
  designFrequencyGhz: 5.6,
  feedLossDb: 1.5,
};

function tableOf(description: AntennaDescription): LossTable {
  const table = buildLossTable(description, FREQUENCY_GHZ);
  if (!table) throw new Error("a description by dimensions has a table");
  return table;
}

function rowOf({ rows }: LossTable, counted: LossRow["counted"]): LossRow {
  const row = rows.find((candidate) => candidate.counted === counted);
  if (!row) throw new Error(`there is no row ${counted}`);
  return row;
}

function integral(f: (x: number) => number, from: number, to: number): number {
  const steps = 4000;
  const step = (to - from) / steps;
  return Array.from({ length: steps }, (_, i) => f(from + (i + 0.5) * step) * step).reduce((a, b) => a + b);
}

const sinc = (u: number) => (u === 0 ? 1 : Math.sin(Math.PI * u) / (Math.PI * u));

describe("the aperture alone", () => {
  it("evenly lit and round holds 0.8378 in its main lobe (checks.json airy-main)", () => {
    const even = tableOf({ kind: "dish", diameterM: 1.4, focalRatio: 3, edgeTaperDb: 0.0602 });
    expect(rowOf(even, "aperture").mainLobe).toBeCloseTo(0.8378, 2);
  });

  it("evenly lit and square holds 0.8151 (checks.json sinc-main, squared)", () => {
    const many = { columns: 24, rows: 24, columnSpacingM: LAMBDA_M / 2, rowSpacingM: LAMBDA_M / 2, feedLossDb: 0 };
    expect(Math.abs(rowOf(tableOf({ ...PANEL, ...many }), "aperture").mainLobe - 0.8151)).toBeLessThan(0.01);
  });

  it("even one way and a cosine the other holds the product of their shares: a horn without flare", () => {
    // Balanis, Antenna Theory, table 12.1: (cos pi u) / (1 - 4 u^2), first null at 1.5.
    const cosine = (u: number) => (Math.cos(Math.PI * u) / (1 - 4 * u * u)) ** 2;
    const share = integral(cosine, -1.5, 1.5) / integral(cosine, -200, 200);
    const side = 8 * LAMBDA_M;
    const horn = { widthM: side, heightM: side, slantLengthHM: 30, slantLengthEM: 30 };
    const { mainLobe } = rowOf(tableOf({ kind: "pyramidal-horn", ...horn }), "aperture");
    expect(Math.abs(mainLobe - share * integral((u) => sinc(u) ** 2, -1, 1))).toBeLessThan(0.01);
  });
});

describe("one loss at a time", () => {
  const table = tableOf(DISH);
  const aperture = rowOf(table, "aperture");
  const costDb = (part: LossPart) => aperture.gainDbi - rowOf(table, part).gainDbi;

  it("past the rim goes what the feed's pattern holds beyond it", () => {
    // A feed of cos^2p of half the angle, whose level at the rim is the edge taper less the longer way there.
    const rimRad = 2 * Math.atan(1 / (4 * DISH.focalRatio));
    const feedDb = DISH.edgeTaperDb + 20 * Math.log10(Math.cos(rimRad / 2) ** 2);
    const p = -feedDb / (20 * Math.log10(Math.cos(rimRad / 2)));
    const power = (angle: number) => Math.cos(angle / 2) ** (2 * p) * Math.sin(angle);
    const kept = integral(power, 0, rimRad) / integral(power, 0, Math.PI);
    expect(rowOf(table, "spillover").mainLobe / aperture.mainLobe).toBeCloseTo(kept, 2);
    expect(costDb("spillover")).toBeCloseTo(-10 * Math.log10(kept), 1);
  });

  it("surface errors cost the gain that Ruze says: 686 (rms / lambda)^2 dB (Proc. IEEE 54, 1966)", () => {
    // What the errors scatter adds a little in the direction of the peak, which Ruze's formula leaves out.
    expect(Math.abs(costDb("surface-errors") - 685.8 * (0.001 / LAMBDA_M) ** 2)).toBeLessThan(0.02);
  });

  it("the loss of the feed costs gain, and of the power fed, but not of the power that is sent", () => {
    expect(costDb("feed-loss")).toBeCloseTo(0.3, 9);
    const lossy = rowOf(table, "feed-loss");
    expect(lossy.mainLobe).toBeCloseTo(aperture.mainLobe, 9);
    expect(lossy.mainLobeOfFed).toBeCloseTo(aperture.mainLobe * 10 ** -0.03, 9);
  });

  it("leakage turns polarisation, not direction: the beam keeps its share", () => {
    expect(rowOf(table, "feed-leakage").mainLobe).toBeCloseTo(aperture.mainLobe, 3);
    expect(costDb("feed-leakage")).toBeGreaterThan(0);
  });

  it("all of them cost more than each, and what the pattern itself has", () => {
    const all = rowOf(table, "all");
    for (const row of table.rows.slice(0, -1)) expect(all.mainLobeOfFed).toBeLessThan(row.mainLobeOfFed);
    expect(all.gainDbi).toBeLessThan(aperture.gainDbi - 1.5);
  });
});

describe("the table", () => {
  it("has a row for every part that the description has, and no other", () => {
    const counted = (description: AntennaDescription) => tableOf(description).rows.map((row) => row.counted);
    expect(counted(DISH).slice(1, -1)).toEqual([
      ...(["spillover", "blockage", "surface-errors", "feed-leakage", "mast-scatter", "feed-loss"] as const),
    ]);
    const small = { ...PANEL, columns: 2, rows: 2 };
    expect(counted(small).slice(1, -1)).toEqual(["excitation-errors", "feed-leakage", "mast-scatter", "feed-loss"]);
    expect(counted({ ...small, idealLobes: true, feedLossDb: 0 })).toEqual(["aperture", "all"]);
  });

  it("belongs to antennas that are built from dimensions alone", () => {
    expect(buildLossTable({ kind: "tr38901" }, FREQUENCY_GHZ)).toBeNull();
    expect(
      buildLossTable({ kind: "f1336", gainDbi: 16, azimuthWidthDeg: 90, form: "average" }, FREQUENCY_GHZ),
    ).toBeNull();
  });

  // 40 %: common practice, no source.
  it("shows what brings a dish near the common 40 %: a strong rim, a wide shadow, a rough surface, a lossy feed", () => {
    const poor = tableOf({ ...DISH, focalRatio: 0.35, edgeTaperDb: 6.5, blockageDiameterM: 0.15, surfaceRmsM: 0.002 });
    const { mainLobe } = rowOf(poor, "all");
    expect(mainLobe).toBeGreaterThan(0.3);
    expect(mainLobe).toBeLessThan(0.5);
    expect(toLossRows(poor).at(-1)?.[0]).toBe("all together");
  });
});
