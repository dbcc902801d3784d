import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { createAntennaPattern } from "../antenna-pattern.ts";
import type { AntennaDescription } from "../description.ts";
import { refuseEnvelope } from "../pattern.ts";
import { computeSphereMean } from "../sphere-mean.ts";
import { computeF699GainDbi, computeF1245GainDbi } from "./dish-reference.ts";
import { tiltElectricallyDeg } from "./sectoral-reference.ts";

const PANEL = { kind: "f1336", gainDbi: 17, azimuthWidthDeg: 90, form: "peak" } as const;
const AVERAGE = { ...PANEL, form: "average" } as const;
const SMALL_DISH = { kind: "f699", gainDbi: 25.473345639, diameterM: 0.4 } as const;

describe("F.699-8 and F.1245-3", () => {
  const dish = { gainDbi: 25.473345639, diameterM: 0.4, frequencyGhz: 5.8 };

  // Values worked out from the Recommendations' formulas, independently of this code: D = 0.4 m, 5.8 GHz.
  it.each([
    { offDeg: 3, f699: 24.1258819, f1245: 24.1258819 },
    { offDeg: 10, f699: 15.3300092, f1245: 9.55666359 },
    { offDeg: 60, f699: 1.11332718, f1245: -7.44333641 },
  ])("have their levels at $offDeg degrees", ({ offDeg, f699, f1245 }) => {
    expect(computeF699GainDbi(dish, offDeg)).toBeCloseTo(f699, 6);
    expect(computeF1245GainDbi(dish, offDeg)).toBeCloseTo(f1245, 6);
  });

  it("put the average under the envelope everywhere", () => {
    for (let offDeg = 0; offDeg <= 180; offDeg += 0.5) {
      expect(computeF1245GainDbi(dish, offDeg)).toBeLessThanOrEqual(computeF699GainDbi(dish, offDeg));
    }
  });

  // Integrals of the reference patterns over the sphere, independent computation: 2.843 and 1.0264.
  it("integrate to 2.84 as envelope and 1.026 as average", () => {
    expect(computeSphereMean(createAntennaPattern(SMALL_DISH, 5.8), 0, 0.5)).toBeCloseTo(2.843, 2);
    expect(computeSphereMean(createAntennaPattern({ ...SMALL_DISH, kind: "f1245" }, 5.8), 0, 0.5)).toBeCloseTo(
      1.0264,
      2,
    );
  });

  it("hold from 1 to 70 GHz", () => {
    expect(() => createAntennaPattern(SMALL_DISH, 0.9, "/antennas/1")).toThrow(
      "/antennas/1: the reference pattern is valid",
    );
  });
});

describe("F.1336-5", () => {
  // Independent computation from recommends 3.1.1: 17 dBi, 90 degrees, improved side lobes.
  it.each([
    { azimuthDeg: 45, elevationDeg: 0, gainDbi: 14 },
    { azimuthDeg: 60, elevationDeg: 10, gainDbi: 1.8028533 },
    { azimuthDeg: 120, elevationDeg: 0, gainDbi: 1.43130066 },
    { azimuthDeg: 180, elevationDeg: 20, gainDbi: -8.07686046 },
  ])("has $gainDbi dBi at azimuth $azimuthDeg, elevation $elevationDeg", ({ azimuthDeg, elevationDeg, gainDbi }) => {
    expect(createAntennaPattern(PANEL, 5.8).gainDbi(azimuthDeg, elevationDeg, 0)).toBeCloseTo(gainDbi, 6);
  });

  it("integrates to 1.417 as peaks and 1.183 as average (independent integration)", () => {
    expect(computeSphereMean(createAntennaPattern(PANEL, 5.8), 0, 0.5)).toBeCloseTo(1.417, 2);
    expect(computeSphereMean(createAntennaPattern(AVERAGE, 5.8), 0, 0.5)).toBeCloseTo(1.183, 2);
  });

  it("tilts the beam down at every azimuth and leaves the zenith where it is", () => {
    expect(tiltElectricallyDeg(-4, 4)).toBe(0);
    expect(tiltElectricallyDeg(90, 4)).toBe(90);
    expect(tiltElectricallyDeg(-90, 4)).toBe(-90);
    const tilted = createAntennaPattern({ ...PANEL, electricalDowntiltDeg: 4 }, 5.8);
    const level = createAntennaPattern(PANEL, 5.8);
    for (const azimuthDeg of [0, 60, 180]) {
      expect(tilted.gainDbi(azimuthDeg, -4, 0)).toBeCloseTo(level.gainDbi(azimuthDeg, 0, 0), 9);
    }
  });

  it("refuses frequencies above 6 GHz and beams that are too high, by name", () => {
    expect(() => createAntennaPattern(PANEL, 6.2, "/antennas/0")).toThrow(
      /\/antennas\/0: F.1336 is used from 0.4 to 6 GHz/,
    );
    const high = { ...PANEL, gainDbi: 10, elevationWidthDeg: 30 };
    expect(() => createAntennaPattern(high, 5.8, "/antennas/0")).toThrow(/\/antennas\/0\/elevationWidthDeg/);
  });
});

describe("what levels may be used for", () => {
  it("keeps envelopes, and only them, out of interference", () => {
    const levels = (description: AntennaDescription): string => createAntennaPattern(description, 5.8).levels;
    expect(levels(PANEL)).toBe("envelope");
    expect(levels(SMALL_DISH)).toBe("envelope");
    expect(levels(AVERAGE)).toBe("average");
    expect(levels({ ...SMALL_DISH, kind: "f1245" })).toBe("average");
    expect(levels({ kind: "tr38901" })).toBe("actual");
    expect(() => refuseEnvelope(createAntennaPattern(PANEL, 5.8), "/antennas/3")).toThrow(InputError);
    expect(() => refuseEnvelope(createAntennaPattern(PANEL, 5.8), "/antennas/3")).toThrow(
      /^\/antennas\/3: a peak envelope/,
    );
    expect(() => refuseEnvelope(createAntennaPattern(AVERAGE, 5.8), "/antennas/3")).not.toThrow();
  });

  it("stays with a shroud, which holds back what it covers and nothing else", () => {
    const shrouded = createAntennaPattern({ kind: "shrouded", base: SMALL_DISH, fromDeg: 40, reductionDb: 12 }, 5.8);
    const base = createAntennaPattern(SMALL_DISH, 5.8);
    expect(shrouded.levels).toBe("envelope");
    expect(shrouded.gainDbi(39, 0, 0)).toBe(base.gainDbi(39, 0, 0));
    expect(shrouded.gainDbi(0, -41, 0)).toBe(base.gainDbi(0, -41, 0) - 12);
    expect(shrouded.gainDbi(180, 0, 0)).toBe(base.gainDbi(180, 0, 0) - 12);
  });
});
