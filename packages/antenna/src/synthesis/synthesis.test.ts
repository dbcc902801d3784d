import { computeWavelengthM } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createAntennaPattern } from "../antenna-pattern.ts";
import type { AntennaDescription, DishDescription, HornDescription, PatchArrayDescription } from "../description.ts";
import type { AntennaPattern, Port } from "../pattern.ts";
import { computeSphereMean } from "../sphere-mean.ts";

const FREQUENCY_GHZ = 5.8;
const LAMBDA_M = computeWavelengthM(FREQUENCY_GHZ);

const COLUMN: PatchArrayDescription = {
  kind: "patch-array",
  columns: 1,
  rows: 16,
  columnSpacingM: 0.04,
  rowSpacingM: 0.04,
  designFrequencyGhz: FREQUENCY_GHZ,
  idealLobes: true,
};
const PANEL: PatchArrayDescription = { ...COLUMN, columns: 8, rows: 8 };
const HORN: HornDescription = {
  kind: "horn",
  form: "conical",
  diameterM: 0.15,
  slantLengthM: 0.3,
  idealLobes: true,
};
const BOX_HORN: AntennaDescription = {
  kind: "pyramidal-horn",
  widthM: 0.2,
  heightM: 0.15,
  slantLengthHM: 0.3,
  slantLengthEM: 0.28,
  idealLobes: true,
};
const DISH: DishDescription = {
  kind: "dish",
  diameterM: 1.2,
  focalRatio: 0.4,
  edgeTaperDb: 12,
  idealLobes: true,
};

function patternOf(description: AntennaDescription, frequencyGhz = FREQUENCY_GHZ): AntennaPattern {
  return createAntennaPattern(description, frequencyGhz);
}

/** Angles of one cut, from boresight upward. */
function upward(pattern: AntennaPattern, port: Port = 1): (angleDeg: number) => number {
  return (angleDeg) => pattern.gainDbi(0, angleDeg, port);
}

function aside(pattern: AntennaPattern, port: Port = 1): (angleDeg: number) => number {
  return (angleDeg) => pattern.gainDbi(angleDeg, 0, port);
}

/** Greatest level past the first rise from boresight, dB under the peak. */
function worstLobeDb(cut: (angleDeg: number) => number, toDeg = 60): number {
  let angleDeg = 0;
  while (cut(angleDeg + 0.02) <= cut(angleDeg)) angleDeg += 0.02;
  let worst = Number.NEGATIVE_INFINITY;
  for (; angleDeg < toDeg; angleDeg += 0.02) worst = Math.max(worst, cut(angleDeg));
  return worst - cut(0);
}

function halfPowerWidthDeg(cut: (angleDeg: number) => number): number {
  let angleDeg = 0;
  while (cut(angleDeg) > cut(0) - 10 * Math.log10(2)) angleDeg += 0.005;
  return 2 * angleDeg;
}

describe("every pattern built without loss radiates what it is fed: its mean over the sphere is 1", () => {
  it.each<{ name: string; description: AntennaDescription }>([
    { name: "isotropic", description: { kind: "isotropic", gainDbi: 0 } },
    { name: "column of 16", description: COLUMN },
    { name: "panel of 8 by 8", description: PANEL },
    { name: "panel with errors and scatter", description: { ...PANEL, idealLobes: false } },
    { name: "tilted, tapered sector", description: taperedSector() },
    { name: "conical horn", description: HORN },
    { name: "dual-mode horn", description: { ...HORN, form: "dual-mode" } },
    { name: "corrugated horn", description: { ...HORN, form: "corrugated" } },
    { name: "corrugated horn with scatter", description: { ...HORN, form: "corrugated", idealLobes: false } },
    { name: "pyramidal horn", description: BOX_HORN },
    { name: "dish", description: { ...DISH, diameterM: 0.6 } },
    { name: "dish with every stray", description: { ...faultyDish(), diameterM: 0.6 } },
  ])("$name", ({ description }) => {
    const pattern = patternOf(description);
    for (const port of [0, 1] as const) expect(Math.abs(computeSphereMean(pattern, port) - 1)).toBeLessThan(0.01);
  });

  it("less what a stated loss takes", () => {
    expect(computeSphereMean(patternOf({ ...PANEL, feedLossDb: 1 }))).toBeCloseTo(10 ** -0.1, 2);
    expect(computeSphereMean(patternOf({ ...HORN, lossDb: 0.5 }))).toBeCloseTo(10 ** -0.05, 2);
  });
});

function taperedSector(): PatchArrayDescription {
  const rowTaper = { kind: "chebyshev", sideLobeDb: 25 } as const;
  return { ...COLUMN, columns: 2, electricalDowntiltDeg: 4, rowTaper, idealLobes: false, seed: 7 };
}

function faultyDish(): DishDescription {
  return { ...DISH, blockageDiameterM: 0.1, surfaceRmsM: 0.001, idealLobes: false };
}

describe("a patch array", () => {
  // C. A. Balanis, Antenna Theory, example 14.3: a patch on this laminate has 7.0 dB by its two slots.
  it("of one patch has about 7 dBi and a wide beam", () => {
    expect(patternOf({ ...COLUMN, rows: 1 }).peakGainDbi).toBeCloseTo(7, 0);
  });

  // Aperture limit 4 pi A / lambda^2 (Balanis 12.5.1), each element standing for its cell.
  it("of 8 by 8 has the gain of its area", () => {
    const limitDbi = 10 * Math.log10((4 * Math.PI * 0.32 ** 2) / LAMBDA_M ** 2);
    expect(Math.abs(patternOf(PANEL).peakGainDbi - limitDbi)).toBeLessThan(0.3);
  });

  it("of 16 rows fed alike has its first null at lambda / (N d) and side lobes of -13.2 dB", () => {
    for (const frequencyGhz of [5.2, 5.8]) {
      const pattern = patternOf(COLUMN, frequencyGhz);
      const nullDeg = (Math.asin(computeWavelengthM(frequencyGhz) / (16 * 0.04)) * 180) / Math.PI;
      expect(pattern.gainDbi(0, nullDeg, 1)).toBeLessThan(pattern.peakGainDbi - 45);
    }
    expect(worstLobeDb(upward(patternOf(COLUMN)))).toBeCloseTo(-13.2, 1);
  });

  it("keeps side lobes under what its taper asks for", () => {
    const sideLobeDb = 25;
    const cut = upward(patternOf({ ...COLUMN, rowTaper: { kind: "chebyshev", sideLobeDb } }));
    expect(Math.abs(worstLobeDb(cut) + sideLobeDb)).toBeLessThan(0.3);
  });

  it("tilts at all azimuths alike, right at the design frequency and more below it", () => {
    const tilted = { ...COLUMN, electricalDowntiltDeg: 5 };
    const aimDeg = (azimuthDeg: number, frequencyGhz: number): number => {
      const pattern = patternOf(tilted, frequencyGhz);
      const elevations = Array.from({ length: 801 }, (_, i) => -20 + i * 0.05);
      const gains = elevations.map((elevationDeg) => pattern.gainDbi(azimuthDeg, elevationDeg, 1));
      return elevations[gains.indexOf(Math.max(...gains))];
    };
    for (const azimuthDeg of [0, 60, 180]) expect(Math.abs(aimDeg(azimuthDeg, 5.8) + 5)).toBeLessThan(0.1);
    const runsTo = (Math.asin((Math.sin((5 * Math.PI) / 180) * 5.8) / 5.2) * 180) / Math.PI;
    expect(Math.abs(aimDeg(0, 5.2) + runsTo)).toBeLessThan(0.1);
  });

  it("has errors that depend on seed and port alone, and a floor of scatter 35 dB under the peak", () => {
    const real = { ...COLUMN, idealLobes: false };
    const [once, again, other] = [patternOf(real), patternOf(real), patternOf({ ...real, seed: 2 })];
    expect(again.gainDbi(33, 21, 0)).toBe(once.gainDbi(33, 21, 0));
    expect(other.gainDbi(33, 21, 0)).not.toBe(once.gainDbi(33, 21, 0));
    expect(once.gainDbi(0, 7.1, 0)).not.toBeCloseTo(once.gainDbi(0, 7.1, 1), 1);
    let lowest = Number.POSITIVE_INFINITY;
    for (let elevationDeg = -90; elevationDeg <= 90; elevationDeg += 0.1) {
      lowest = Math.min(lowest, once.gainDbi(120, elevationDeg, 1));
    }
    expect(once.peakGainDbi - lowest).toBeGreaterThan(33);
    expect(once.peakGainDbi - lowest).toBeLessThan(37);
  });

  it("lets 25 dB less through in the other polarisation, and nothing ahead where it is ideal", () => {
    const real = patternOf({ ...COLUMN, idealLobes: false });
    const difference = real.gainDbi(0, 0, 1) - (real.crossGainDbi?.(0, 0, 1) ?? Number.NaN);
    expect(difference).toBeGreaterThan(24);
    expect(difference).toBeLessThan(26);
    expect(patternOf(COLUMN).crossGainDbi?.(0, 0, 1)).toBeLessThan(-100);
  });

  it("names what is wrong with it", () => {
    const fault = (change: Partial<PatchArrayDescription>) => () =>
      createAntennaPattern({ ...COLUMN, ...change }, 5.8, "/antennas/0");
    expect(fault({ rows: 2.5 })).toThrow("/antennas/0/rows must be a whole number from 1 to 64, got 2.5");
    expect(fault({ rowSpacingM: 0 })).toThrow("/antennas/0/rowSpacingM must be above 0");
    expect(fault({ columns: 64, columnSpacingM: 1 })).toThrow(/too large for a full sphere/);
    expect(fault({ rowTaper: { kind: "chebyshev", sideLobeDb: 3 } })).toThrow("/antennas/0/rowTaper/sideLobeDb");
  });
});

describe("a round horn", () => {
  // Balanis, eqs 13-57 to 13-59: 20 log(C / lambda) - (0.8 - 1.71 s + 26.25 s^2 - 17.79 s^3), s = d^2 / (8 lambda l).
  it.each([
    { diameterM: 0.2, slantLengthM: 0.5 },
    { diameterM: 0.25, slantLengthM: 0.4 },
    { diameterM: 0.3, slantLengthM: 0.8 },
  ])("of $diameterM m has the gain of the design curve", ({ diameterM, slantLengthM }) => {
    const s = diameterM ** 2 / (8 * LAMBDA_M * slantLengthM);
    const lossDb = 0.8 - 1.71 * s + 26.25 * s ** 2 - 17.79 * s ** 3;
    const curveDbi = 20 * Math.log10((Math.PI * diameterM) / LAMBDA_M) - lossDb;
    expect(Math.abs(patternOf({ ...HORN, diameterM, slantLengthM }).peakGainDbi - curveDbi)).toBeLessThan(0.2);
  });

  // Aperture efficiencies of the modes: TE11 0.837 (Balanis 12.5.1), balanced hybrid 4 / 2.4048^2 = 0.692 (Clarricoats
  // and Olver, Corrugated Horns for Microwave Antennas, 1984).
  it.each([
    { form: "conical", efficiency: 0.837 },
    { form: "corrugated", efficiency: 0.692 },
  ] as const)("$form, wide and long, has the efficiency $efficiency of its mode", ({ form, efficiency }) => {
    const pattern = patternOf({ ...HORN, form, diameterM: 0.6, slantLengthM: 60 });
    const fullDb = 20 * Math.log10((Math.PI * 0.6) / LAMBDA_M);
    expect(Math.abs(10 ** ((pattern.peakGainDbi - fullDb) / 10) - efficiency)).toBeLessThan(0.005);
  });

  it("has cross-polar lobes in the diagonals, which a second mode or corrugations take away", () => {
    const diagonalDb = (form: HornDescription["form"]): number => {
      const pattern = patternOf({ ...HORN, form });
      const angles = Array.from({ length: 60 }, (_, i) => i / Math.SQRT2);
      return Math.max(...angles.map((a) => pattern.crossGainDbi?.(a, a, 1) ?? Number.NaN)) - pattern.peakGainDbi;
    };
    expect(diagonalDb("conical")).toBeGreaterThan(-22);
    expect(diagonalDb("dual-mode")).toBeLessThan(-28);
    expect(diagonalDb("corrugated")).toBeLessThan(-100);
    expect(patternOf(HORN).crossGainDbi?.(0, 20, 1)).toBeLessThan(-100);
  });

  it("turns its planes with the port, and is smooth and low behind", () => {
    const pattern = patternOf(HORN);
    expect(pattern.gainDbi(20, 0, 0)).toBeCloseTo(pattern.gainDbi(0, 20, 1), 9);
    expect(pattern.gainDbi(20, 0, 1)).toBeGreaterThan(pattern.gainDbi(0, 20, 1));
    for (let a = 120; a <= 180; a += 0.5) expect(pattern.gainDbi(a, 0, 1)).toBeLessThan(pattern.peakGainDbi - 30);
  });

  it("names a mouth without a mode and a cone that cannot be", () => {
    const fault = (change: Partial<HornDescription>) => () =>
      createAntennaPattern({ ...HORN, ...change }, 5.8, "/antennas/0");
    expect(fault({ diameterM: 0.02 })).toThrow("/antennas/0/diameterM: the mouth is 0.39 wavelengths wide");
    expect(fault({ slantLengthM: 0.05 })).toThrow("/antennas/0/slantLengthM");
  });
});

describe("a pyramidal horn", () => {
  // Balanis 13.4: the best mouth for its length, a^2 = 3 lambda l and b^2 = 2 lambda l, has an efficiency of 0.51.
  it.each([
    { a: 5, b: 4 },
    { a: 8, b: 6 },
  ])("of $a by $b wavelengths at its best has 0.51 of its area", ({ a, b }) => {
    const pattern = patternOf({
      ...BOX_HORN,
      widthM: a * LAMBDA_M,
      heightM: b * LAMBDA_M,
      slantLengthHM: (a ** 2 / 3) * LAMBDA_M,
      slantLengthEM: (b ** 2 / 2) * LAMBDA_M,
    });
    const optimumDbi = 10 * Math.log10(0.51 * 4 * Math.PI * a * b);
    expect(Math.abs(pattern.peakGainDbi - optimumDbi)).toBeLessThan(0.1);
  });

  // Balanis, table 12.1: even light -13.26 dB, cosine -23.0 dB, efficiency 8 / pi^2.
  it("without flare has the lobes of even light in one plane and of a cosine in the other", () => {
    const side = 8 * LAMBDA_M;
    const long = { widthM: side, heightM: side, slantLengthHM: 30, slantLengthEM: 30 };
    const pattern = patternOf({ ...BOX_HORN, ...long });
    expect(Math.abs(worstLobeDb(upward(pattern, 1)) + 13.26)).toBeLessThan(0.15);
    expect(Math.abs(worstLobeDb(aside(pattern, 1)) + 23)).toBeLessThan(0.15);
    expect(Math.abs(worstLobeDb(aside(pattern, 0)) + 13.26)).toBeLessThan(0.15);
    expect(10 ** (pattern.peakGainDbi / 10) / (4 * Math.PI * 64)).toBeCloseTo(8 / Math.PI ** 2, 1);
  });
});

describe("a dish", () => {
  // Tables of a parabola on a pedestal: -10 dB 65.7, -12 dB 67.5, -15 dB 69.3 degrees by lambda / D.
  it.each([
    { edgeTaperDb: 10, widthDeg: 65.7 },
    { edgeTaperDb: 12, widthDeg: 67.5 },
    { edgeTaperDb: 15, widthDeg: 69.3 },
  ])("with an edge taper of $edgeTaperDb dB is $widthDeg lambda / D wide", ({ edgeTaperDb, widthDeg }) => {
    const cut = aside(patternOf({ ...DISH, edgeTaperDb }));
    expect(Math.abs(halfPowerWidthDeg(cut) - (widthDeg * LAMBDA_M) / DISH.diameterM)).toBeLessThan(0.06);
  });

  it("loses to surface errors what Ruze says: 686 (rms / lambda)^2 dB", () => {
    const rmsM = 0.0015;
    const lossDb = patternOf(DISH).peakGainDbi - patternOf({ ...DISH, surfaceRmsM: rmsM }).peakGainDbi;
    expect(Math.abs(lossDb - 685.8 * (rmsM / LAMBDA_M) ** 2)).toBeLessThan(0.05);
  });

  it("has higher side lobes and less gain with a blockage, most spill at the rim's shadow", () => {
    const clear = patternOf(DISH);
    const blocked = patternOf({ ...DISH, blockageDiameterM: 0.18 });
    expect(worstLobeDb(aside(blocked))).toBeGreaterThan(worstLobeDb(aside(clear)) + 2);
    expect(clear.peakGainDbi - blocked.peakGainDbi).toBeGreaterThan(0.1);
    expect(clear.peakGainDbi - blocked.peakGainDbi).toBeLessThan(0.5);
    expect(clear.gainDbi(100, 0, 1)).toBeGreaterThan(clear.gainDbi(170, 0, 1));
  });

  it("is 50 to 65 % efficient with blockage, surface errors, mast and loss", () => {
    const pattern = patternOf({ ...faultyDish(), lossDb: 0.3 });
    const fullDb = 20 * Math.log10((Math.PI * DISH.diameterM) / LAMBDA_M);
    const efficiency = 10 ** ((pattern.peakGainDbi - fullDb) / 10);
    expect(efficiency).toBeGreaterThan(0.5);
    expect(efficiency).toBeLessThan(0.7);
  });

  it("names a taper that its depth forbids", () => {
    const fault = () => createAntennaPattern({ ...DISH, focalRatio: 0.25, edgeTaperDb: 5 }, 5.8, "/antennas/0");
    expect(fault).toThrow(
      "/antennas/0/edgeTaperDb: at this focal ratio the path to the rim alone costs 6.02 dB, got 5",
    );
  });
});
