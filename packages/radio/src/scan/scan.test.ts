import {
  aimPattern,
  computeSphereMean,
  createAntennaPattern,
  createIsotropicPattern,
  createTr38901Pattern,
} from "@fellmark/antenna";
import { sumDbm, toDb, toMilliwatts, toRatio } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { computeNoiseDbm } from "../noise.ts";
import type { Scan, ScanDirections } from "./scan.ts";
import { solveScanDirections } from "./scan-directions.ts";
import { computeScanNoiseMw } from "./scan-noise.ts";

const CHANNEL = { centreMhz: 5600, widthMhz: 20 };
const BEAM = { gainDbi: 15, widthDeg: 30 };
const ALL_ROUND = Array.from({ length: 36 }, (_, index) => 10 * index);

/** What the beam of the tests gives off its axis: 3 dB less at half its width, never less than 30 dB under its peak. */
const beamDbi = (offDeg: number) => 15 - Math.min((12 * ((((offDeg % 360) + 540) % 360) - 180) ** 2) / 900, 30);

/** A scan of emitters of given level (at an isotropic antenna), one reading over the whole channel at each bearing. */
function scanOf(emitters: { azimuthDeg: number; levelDbm: number }[], changes: Partial<Scan> = {}): Scan {
  const readings = ALL_ROUND.map((azimuthDeg) => ({
    azimuthDeg,
    centreMhz: 5600,
    levelDbm: sumDbm(emitters.map((emitter) => emitter.levelDbm + beamDbi(emitter.azimuthDeg - azimuthDeg))),
  }));
  return {
    antenna: BEAM,
    resolutionMhz: 20,
    polarisation: "both",
    statistic: "median",
    elevationDeg: 0,
    readings,
    ...changes,
  };
}

const evenScan = (levelDbm: number, changes: Partial<Scan> = {}): Scan => ({
  ...scanOf([]),
  readings: ALL_ROUND.map((azimuthDeg) => ({ azimuthDeg, centreMhz: 5600, levelDbm })),
  ...changes,
});

const totalDbm = ({ incidentDbm }: ScanDirections) => sumDbm([...incidentDbm]);

describe("an emitter in steps of 10 degrees through an antenna of 30", () => {
  it.each([0, 130, 350])("is found once, at its bearing of %i degrees", (azimuthDeg) => {
    const found = solveScanDirections(scanOf([{ azimuthDeg, levelDbm: -70 }]), CHANNEL);
    expect(totalDbm(found)).toBeCloseTo(-70, 2);
    expect(found.incidentDbm[azimuthDeg / 10]).toBeCloseTo(-70, 1);
  });

  it.each([2, 5, 133])("is found once between the bearings, at %i degrees", (azimuthDeg) => {
    const found = solveScanDirections(scanOf([{ azimuthDeg, levelDbm: -70 }]), CHANNEL);
    expect(Math.abs(totalDbm(found) + 70)).toBeLessThan(0.2);
  });

  it("is told from another, 20 dB weaker, 60 degrees aside", () => {
    const emitters = [
      { azimuthDeg: 100, levelDbm: -60 },
      { azimuthDeg: 160, levelDbm: -80 },
    ];
    const found = solveScanDirections(scanOf(emitters), CHANNEL);
    expect(found.incidentDbm[10]).toBeCloseTo(-60, 1);
    expect(found.incidentDbm[16]).toBeCloseTo(-80, 1);
  });

  it("reaches a sector with the sector's gain that way", () => {
    const found = solveScanDirections(scanOf([{ azimuthDeg: 130, levelDbm: -70 }]), CHANNEL);
    const sector = aimPattern(createTr38901Pattern(), { azimuthDeg: 100, downtiltDeg: 3 });
    expect(toDb(computeScanNoiseMw(found, sector, 0))).toBeCloseTo(-70 + sector.gainDbi(130, 0, 0), 1);
  });
});

/** The sphere in rings of equal elevation, each with its share of the solid angle of a total of 0 dBm. */
function uniformSphere(stepDeg: number): ScanDirections[] {
  const sine = (deg: number) => Math.sin((deg * Math.PI) / 180);
  return Array.from({ length: 180 / stepDeg }, (_, ring) => {
    const south = -90 + ring * stepDeg;
    const share = (sine(south + stepDeg) - sine(south)) / 2;
    return {
      azimuthDeg: Float64Array.from(ALL_ROUND),
      stepDeg: 10,
      elevationDeg: south + stepDeg / 2,
      polarisation: "both",
      incidentDbm: new Float64Array(36).fill(toDb(share / 36)),
      findings: [],
    };
  });
}

it("noise uniform over the sphere reads the same through any lossless antenna, within 0.05 dB", () => {
  const sphere = uniformSphere(1);
  const size = { columnSpacingM: 0.027, rowSpacingM: 0.027, designFrequencyGhz: 5.6 };
  const lossless = [
    createIsotropicPattern(0),
    createAntennaPattern({ kind: "patch-array", columns: 2, rows: 8, ...size, idealLobes: true }, 5.6),
    createAntennaPattern(
      { kind: "horn", form: "corrugated", diameterM: 0.15, slantLengthM: 0.3, idealLobes: true },
      5.6,
    ),
  ];
  for (const pattern of lossless) {
    const aimed = aimPattern(pattern, { azimuthDeg: 77, downtiltDeg: 4 });
    const noiseMw = sphere.reduce((sum, ring) => sum + computeScanNoiseMw(ring, aimed, 0), 0);
    expect(Math.abs(toDb(noiseMw))).toBeLessThan(0.05);
  }
});

it("noise uniform over the sphere reads through a pattern that is not lossless by its efficiency", () => {
  const pattern = aimPattern(createTr38901Pattern(), { azimuthDeg: 77, downtiltDeg: 4 });
  const noiseMw = uniformSphere(1).reduce((sum, ring) => sum + computeScanNoiseMw(ring, pattern, 0), 0);
  expect(Math.abs(toDb(noiseMw / computeSphereMean(createTr38901Pattern())))).toBeLessThan(0.01);
});

it("noise uniform in azimuth reads the mean of the gain over azimuth", () => {
  const meanOf = (gainDbi: (azimuthDeg: number) => number) => {
    const gains = Array.from({ length: 3600 }, (_, index) => toRatio(gainDbi(index / 10)));
    return toDb(gains.reduce((sum, gain) => sum + gain, 0) / 3600);
  };
  const found = solveScanDirections(evenScan(-80), CHANNEL);
  expect(totalDbm(found)).toBeCloseTo(-80 - meanOf(beamDbi), 1);
  const aimed = aimPattern(createTr38901Pattern(), { azimuthDeg: 33, downtiltDeg: 2 });
  const expectedDbm = -80 - meanOf(beamDbi) + meanOf((azimuthDeg) => aimed.gainDbi(azimuthDeg, 0, 0));
  expect(Math.abs(toDb(computeScanNoiseMw(found, aimed, 0)) - expectedDbm)).toBeLessThan(0.02);
});

it("a scan 30 dB under the floor changes SINR by less than 0.01 dB", () => {
  const floorDbm = computeNoiseDbm(20, 6);
  const equal = aimPattern(createAntennaPattern({ kind: "isotropic", gainDbi: 0 }, 5.6), {
    azimuthDeg: 0,
    downtiltDeg: 0,
  });
  const all = computeScanNoiseMw(
    solveScanDirections(evenScan(floorDbm - 30, { antenna: { gainDbi: 0, widthDeg: 360 } }), CHANNEL),
    equal,
    0,
  );
  const one = computeScanNoiseMw(
    solveScanDirections(scanOf([{ azimuthDeg: 40, levelDbm: floorDbm - 30 }]), CHANNEL),
    equal,
    0,
  );
  for (const noiseMw of [all, one]) {
    const riseDb = toDb(1 + noiseMw / toMilliwatts(floorDbm));
    expect(riseDb).toBeGreaterThan(0.004);
    expect(riseDb).toBeLessThan(0.01);
  }
});

describe("frequencies", () => {
  const spectrum = (centres: number[], levelDbm: number, changes: Partial<Scan>): Scan =>
    evenScan(0, {
      readings: centres.flatMap((centreMhz) => ALL_ROUND.map((azimuthDeg) => ({ azimuthDeg, centreMhz, levelDbm }))),
      ...changes,
    });
  const whole = totalDbm(solveScanDirections(evenScan(-80), CHANNEL));

  it("adds bins up to the width of the channel", () => {
    const found = solveScanDirections(
      spectrum([5592.5, 5597.5, 5602.5, 5607.5], -80 - 10 * Math.log10(4), { resolutionMhz: 5 }),
      CHANNEL,
    );
    expect(totalDbm(found)).toBeCloseTo(whole, 6);
    expect(found.findings).toEqual([]);
  });

  it("counts bins that overlap once", () => {
    const found = solveScanDirections(spectrum([5590, 5595, 5600, 5605, 5610], -80, { resolutionMhz: 20 }), CHANNEL);
    expect(totalDbm(found)).toBeCloseTo(whole, 6);
    expect(found.findings).toEqual([]);
  });

  it("does not count other frequencies", () => {
    const found = solveScanDirections(spectrum([5560, 5580, 5620], -40, { resolutionMhz: 20 }), CHANNEL);
    expect(found.incidentDbm).toHaveLength(0);
    expect(computeScanNoiseMw(found, createTr38901Pattern(), 0)).toBe(0);
  });

  it("finds a channel that is partly scanned, and takes the rest to be alike", () => {
    const found = solveScanDirections(
      spectrum([5592.5, 5597.5], -80 - 10 * Math.log10(4), { resolutionMhz: 5 }),
      CHANNEL,
    );
    expect(totalDbm(found)).toBeCloseTo(whole, 6);
    expect(found.findings).toEqual([
      { code: "channel_partly_scanned", detail: "10.0 of 20 MHz scanned; the rest is assumed to be alike" },
    ]);
  });
});

it("finds bearings that were not scanned, and levels that are peaks", () => {
  const { readings } = evenScan(-80);
  const found = solveScanDirections(
    evenScan(-80, { readings: readings.slice(5, 20), statistic: "peak-hold" }),
    CHANNEL,
  );
  expect(found.findings.map(({ code }) => code)).toEqual(["peak_hold_scan", "bearings_partly_scanned"]);
  expect(found.findings[1].detail).toContain("150 of 360 degrees");
});

it("takes power of one polarisation to the other port by the cross-polar gain", () => {
  const found = solveScanDirections(evenScan(-80, { polarisation: 0 }), CHANNEL);
  const pattern = createIsotropicPattern(0);
  const heard = computeScanNoiseMw(found, pattern, 0);
  expect(computeScanNoiseMw(found, { ...pattern, crossGainDbi: () => -20 }, 1) / heard).toBeCloseTo(0.01, 9);
  expect(computeScanNoiseMw(found, pattern, 1)).toBe(heard);
});

it("reads through the pattern that a scan names", () => {
  const named = evenScan(-80, { antenna: "scanner" });
  const found = solveScanDirections(named, CHANNEL, { antenna: createIsotropicPattern(6) });
  expect(totalDbm(found)).toBeCloseTo(-86, 6);
  expect(() => solveScanDirections(named, CHANNEL)).toThrow(TypeError);
});

it("refuses an envelope", () => {
  const envelope = { ...createIsotropicPattern(0), levels: "envelope" as const };
  expect(() => computeScanNoiseMw(solveScanDirections(evenScan(-80), CHANNEL), envelope, 0, "/antennas/0")).toThrow(
    "/antennas/0",
  );
});

describe("what cannot be a scan", () => {
  const reading = (azimuthDeg: number, centreMhz = 5600) => ({ azimuthDeg, centreMhz, levelDbm: -80 });
  it.each([
    ["one reading", [reading(0)], "/scans/2/readings/0: one bearing alone tells no direction"],
    ["a reading twice", [reading(90), reading(0), reading(90)], "/scans/2/readings/2: a second reading at 90 degrees"],
    ["unequal steps", [0, 10, 20, 35, 45, 55].map((at) => reading(at)), "/scans/2/readings/"],
    [
      "a frequency without a bearing",
      [...[0, 90, 180, 270].map((at) => reading(at)), reading(0, 5605), reading(90, 5605)],
      "5605 MHz is not",
    ],
  ])("%s", (_, readings, message) => {
    expect(() => solveScanDirections(evenScan(0, { readings }), CHANNEL, { pointer: "/scans/2" })).toThrow(message);
  });
});

describe("the scanner's own noise", () => {
  const floorDbm = computeNoiseDbm(20, 6);

  it.each([{ antenna: { gainDbi: 15, widthDeg: 30 } }, { antenna: { gainDbi: 5, widthDeg: 60 } }])(
    "adds nothing: a scan of k T0 B and the noise figure alone finds no power ($antenna.gainDbi dBi)",
    ({ antenna }) => {
      const quiet = evenScan(floorDbm, { antenna, noiseFigureDb: 6 });
      const sector = aimPattern(createTr38901Pattern(), { azimuthDeg: 0, downtiltDeg: 0 });
      expect(computeScanNoiseMw(solveScanDirections(quiet, CHANNEL), sector, 0)).toBe(0);
      expect(
        computeScanNoiseMw(solveScanDirections({ ...quiet, noiseFigureDb: null }, CHANNEL), sector, 0),
      ).toBeGreaterThan(0);
    },
  );

  it("leaves an emitter its level: -90 dBm over a floor of -95 reads -88.8 and is found with -90", () => {
    const levelDbm = sumDbm([-90, floorDbm]);
    expect(levelDbm).toBeCloseTo(-88.8, 1);
    const withNoise = evenScan(levelDbm, { noiseFigureDb: 6 });
    const bare = evenScan(-90);
    expect(totalDbm(solveScanDirections(withNoise, CHANNEL))).toBeCloseTo(
      totalDbm(solveScanDirections(bare, CHANNEL)),
      6,
    );
  });

  it("is doubted where a level lies more than 3 dB below it", () => {
    const codes = (levelDbm: number) =>
      solveScanDirections(evenScan(levelDbm, { noiseFigureDb: 6 }), CHANNEL).findings.map(({ code }) => code);
    expect(codes(floorDbm - 2)).toEqual([]);
    expect(codes(floorDbm - 4)).toEqual(["scan_below_noise"]);
  });
});
