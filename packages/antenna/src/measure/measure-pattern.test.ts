import { DEG_PER_RAD, RAD_PER_DEG, toDb, toRatio } from "@fellmark/units";
import { describe, expect, test } from "vitest";
import { type AntennaPattern, createIsotropicPattern } from "../pattern.ts";
import { computeOffBoresightDeg } from "../reference/off-boresight.ts";
import { computeBesselJ } from "../theory/bessel.ts";
import { createTr38901Pattern } from "../tr38901.ts";
import { measureAntenna } from "./measure-antenna.ts";
import { measurePort } from "./measure-pattern.ts";
import { findRay, type Peak, setDirectionAlongRay } from "./peak-frame.ts";

/** Power pattern of the angle off boresight alone, front half only, turned to an elevation. */
function roundPattern(gain: (offDeg: number) => number, upDeg = 0): AntennaPattern {
  const peak: Peak = { azimuthDeg: 0, elevationDeg: upDeg, gainDbi: 0 };
  const gainDbi = (azimuthDeg: number, elevationDeg: number) => {
    const { offDeg } = findRay(peak, azimuthDeg, elevationDeg);
    return offDeg < 90 ? Math.max(toDb(gain(offDeg)), -150) : -150;
  };
  return { peakGainDbi: toDb(gain(0)), gainDbi, levels: "actual" };
}

/** U = cos^n in the front half; directivity 2 (n + 1). Source: Balanis, Antenna Theory, ch. 2; checks.json D-cosn. */
const cosinePattern = (n: number, upDeg = 0) =>
  roundPattern((offDeg) => 2 * (n + 1) * Math.cos(offDeg * RAD_PER_DEG) ** n, upDeg);

/** Share of cos^n inside a cone. Source: checks.json BE-cosn: 1 - cos^(n+1) of its half angle. */
const cosineShare = (n: number, halfDeg: number) => 1 - Math.cos(halfDeg * RAD_PER_DEG) ** (n + 1);

/** A uniform round aperture of 40 wavelengths, whose gain is 4 pi A / lambda^2. */
const airyPattern = roundPattern((offDeg) => {
  const x = Math.PI * 40 * Math.sin(offDeg * RAD_PER_DEG);
  return x === 0 ? (40 * Math.PI) ** 2 : (40 * Math.PI * 2 * (computeBesselJ(1, x) / x)) ** 2;
});

describe("beam efficiency", () => {
  test("an Airy pattern holds 0.8378 in its main lobe (checks.json airy-main; to -20 dB, 0.001 less)", () => {
    const { efficiency, sphereMean, azimuth } = measurePort(airyPattern, 0);
    expect(efficiency?.mainLobe).toBeCloseTo(0.8378, 2);
    expect(sphereMean).toBeGreaterThan(0.99);
    expect(sphereMean).toBeLessThan(1.01);
    // checks.json circ-0: first side lobe -17.57 dB, half-power width 58.957 degrees times lambda / D.
    expect(azimuth.firstSideLobe?.levelDb).toBeCloseTo(-17.57, 1);
    expect(azimuth.worstSideLobe).toEqual(azimuth.firstSideLobe);
    expect(azimuth.halfPowerWidthDeg).toBeCloseTo(58.957 / 40, 2);
  });

  test.each([10, 50])("cos^%i, whose lobe has no minimum, to -20 dB and to 2.5 half-power widths", (n) => {
    const { efficiency, peakGainDbi, sphereMean } = measurePort(cosinePattern(n), 1);
    const angleAt = (level: number) => Math.acos(level ** (1 / n)) * DEG_PER_RAD;
    expect(peakGainDbi).toBeCloseTo(toDb(2 * (n + 1)), 9);
    expect(sphereMean).toBeCloseTo(1, 2);
    expect(efficiency?.mainLobe).toBeCloseTo(cosineShare(n, angleAt(0.01)), 3);
    expect(efficiency?.cone).toBeCloseTo(cosineShare(n, Math.min(2.5 * angleAt(0.5), 90)), 3);
  });

  test("a beam tilted by 20 degrees measures as the same beam level", () => {
    const [level, tilted] = [measurePort(cosinePattern(50), 0), measurePort(cosinePattern(50, -20), 0)];
    expect(tilted.peakElevationDeg).toBeCloseTo(-20, 1);
    expect(tilted.efficiency?.mainLobe).toBeCloseTo(level.efficiency?.mainLobe ?? 0, 3);
    expect(tilted.elevation.halfPowerWidthDeg).toBeCloseTo(level.elevation.halfPowerWidthDeg, 1);
  });

  test("an isotropic antenna: half of it in a window of 180 degrees (checks.json BE-iso is the same ratio)", () => {
    const window = { azimuthWidthDeg: 180, elevationFromDeg: -90, elevationToDeg: 90 };
    const { efficiency } = measurePort(createIsotropicPattern(0), 0, { window });
    expect(efficiency?.mainLobe).toBeCloseTo(1, 9);
    expect(efficiency?.window).toBeCloseTo(0.5, 2);
  });

  test("power in the other polarisation counts in the whole", () => {
    const base = cosinePattern(50);
    const crossed: AntennaPattern = { ...base, crossGainDbi: () => -20 };
    const { crossPolarDb, sphereMean } = measurePort(crossed, 0);
    expect(sphereMean).toBeCloseTo(1.01, 2);
    expect(crossPolarDb).toBeCloseTo(toDb(102) - 3.01 + 20, 0);
  });
});

test("a dish of 193 wavelengths, whose beam is 0.3 degrees wide, still integrates to 1 within 1 %", () => {
  const dish = { kind: "dish", diameterM: 10, focalRatio: 0.4, edgeTaperDb: 12 } as const;
  const { sphereMean, azimuth } = measureAntenna(dish, [5.8]).atFrequency[0].ports[1];
  expect(azimuth.halfPowerWidthDeg).toBeLessThan(0.4);
  expect(Math.abs(sphereMean - 1)).toBeLessThan(0.01);
});

describe("no beam efficiency", () => {
  test("of a reference shape that loses power: TR 38.901 integrates to 0.6568 (checks.json 38901-int)", () => {
    const { ports } = measureAntenna({ kind: "tr38901" }, [5.5]).atFrequency[0];
    expect(ports[0].efficiency).toBeNull();
    expect(ports[0].efficiencyRefusal).toContain("0.657: 1.83 dB");
    expect(ports[0].sphereMean).toBeCloseTo(0.656797749, 3);
  });

  test("of an envelope, nor of a shroud around it", () => {
    const base = { kind: "f699", gainDbi: 30, diameterM: 0.6 } as const;
    const shrouded = { kind: "shrouded", base, fromDeg: 60, reductionDb: 10 } as const;
    for (const description of [base, shrouded]) {
      const { efficiency, efficiencyRefusal } = measureAntenna(description, [5.8]).atFrequency[0].ports[0];
      expect(efficiency).toBeNull();
      expect(efficiencyRefusal).toContain("envelope");
    }
  });

  test("of a shape that sends more than it is fed", () => {
    expect(measurePort(createIsotropicPattern(3), 0).efficiencyRefusal).toContain("more power than is fed");
  });
});

describe("plane measures", () => {
  test("of the TR 38.901 element: 65 by 65 degrees, 30 dB behind, no lobe", () => {
    const { azimuth, elevation, frontToBackDb, straightBehindDb } = measurePort(createTr38901Pattern(), 0);
    expect(azimuth.halfPowerWidthDeg).toBeCloseTo(65.1, 1);
    expect(elevation.halfPowerWidthDeg).toBeCloseTo(65.1, 1);
    expect([frontToBackDb, straightBehindDb]).toEqual([30, 30]);
    expect([azimuth.firstSideLobe, azimuth.worstSideLobe]).toEqual([null, null]);
  });

  test("tell the first side lobe from the worst, and the back within 30 degrees from straight behind", () => {
    const level = (offDeg: number) => {
      if (offDeg < 30) return -offDeg;
      if (offDeg < 60) return -30 + 10 * Math.sin(((offDeg - 30) / 30) * Math.PI);
      if (offDeg < 90) return -30 + 15 * Math.sin(((offDeg - 60) / 30) * Math.PI);
      return offDeg > 155 && offDeg < 165 ? -25 : -30;
    };
    const gainDbi = (azimuthDeg: number, elevationDeg: number) =>
      10 + level(computeOffBoresightDeg(azimuthDeg, elevationDeg));
    const parameters = measurePort({ peakGainDbi: 10, gainDbi, levels: "actual" }, 0);
    expect(parameters.azimuth.firstSideLobe?.levelDb).toBeCloseTo(-20, 2);
    expect(Math.abs(parameters.azimuth.firstSideLobe?.offDeg ?? 0)).toBeCloseTo(45, 0);
    expect(parameters.azimuth.worstSideLobe?.levelDb).toBeCloseTo(-15, 2);
    expect([parameters.frontToBackDb, parameters.straightBehindDb]).toEqual([25, 30]);
    expect(toRatio(parameters.azimuth.meanOutsideLobeDbi ?? 0)).toBeLessThan(1);
  });
});

test("a ray leads to a direction and back", () => {
  const peak: Peak = { azimuthDeg: 170, elevationDeg: -30, gainDbi: 0 };
  for (const [offDeg, rayDeg] of [
    [10, 90],
    [100, 200],
    [170, 345],
  ]) {
    const at = { azimuthDeg: 0, elevationDeg: 0 };
    setDirectionAlongRay(peak, offDeg, rayDeg, at);
    const back = findRay(peak, at.azimuthDeg, at.elevationDeg);
    expect(back.offDeg).toBeCloseTo(offDeg, 9);
    expect(back.rayDeg).toBeCloseTo(rayDeg, 9);
  }
});
