import { describe, expect, it } from "vitest";
import { computeStatisticalClutterLossDb } from "../clutter/statistical-clutter.ts";
import { computeEarthBulgeM, computeEffectiveEarthRadiusKm } from "../path/effective-earth.ts";
import { computeFreeSpaceLossDb } from "../path/free-space.ts";
import { computeFresnelRadiusM } from "../path/fresnel-zone.ts";
import { computeLocationVariabilityDb } from "./location-variability.ts";
import { computeComplementaryNormal, computeInverseComplementaryNormal } from "./normal.ts";

describe("the normal distribution", () => {
  it("has the tabled quantiles (NIST/SEMATECH e-Handbook, section 1.3.6.7.1, to more digits)", () => {
    expect(computeInverseComplementaryNormal(0.01)).toBeCloseTo(2.326347874040841, 12);
    expect(computeInverseComplementaryNormal(0.95)).toBeCloseTo(-1.644853626951473, 12);
    expect(computeInverseComplementaryNormal(0.5)).toBeCloseTo(0, 14);
    expect(computeComplementaryNormal(1.959963984540054)).toBeCloseTo(0.025, 14);
  });

  it("returns from share to x over the whole range", () => {
    for (const x of [-7, -3.2, -1, -1e-3, 0.5, 2.999, 3.001, 8]) {
      expect(computeInverseComplementaryNormal(computeComplementaryNormal(x))).toBeCloseTo(x, x < -5 ? 3 : 9);
    }
    expect(() => computeInverseComplementaryNormal(0)).toThrow(RangeError);
    expect(() => computeInverseComplementaryNormal(1)).toThrow(RangeError);
  });
});

it("has the worked values of free space, Earth radius, bulge and Fresnel zone (P.525-4, P.1812-6, P.526-15)", () => {
  expect(computeFreeSpaceLossDb(1000, 2.4)).toBeCloseTo(100.052008, 6);
  expect(computeEffectiveEarthRadiusKm(39)).toBeCloseTo(8476.66949, 5);
  expect(computeEffectiveEarthRadiusKm(39.25)).toBeCloseTo(6371 * (4 / 3), 9);
  expect(computeEarthBulgeM(5000, 5000, 8_494_667)).toBeCloseTo(1.47151148, 7);
  expect(computeFresnelRadiusM(5000, 5000, 5.8)).toBeCloseTo(11.3675365, 6);
});

it("spreads places in a square as P.1812-6 4.8 says", () => {
  const place = { frequencyGhz: 5.8, widthM: 100, clutterHeightM: 15 };
  expect(computeLocationVariabilityDb({ ...place, antennaHeightAglM: 10 })).toBeCloseTo(2.39341054, 8);
  expect(computeLocationVariabilityDb({ ...place, antennaHeightAglM: 20 })).toBeCloseTo(1.19670527, 8);
  expect(computeLocationVariabilityDb({ ...place, antennaHeightAglM: 25 })).toBe(0);
});

describe("the statistic of clutter", () => {
  it("has the values of the workbook of P.2108-1, section 3.2", () => {
    expect(computeStatisticalClutterLossDb(650, 2, 0.5)).toBeCloseTo(27.1, 1);
    expect(computeStatisticalClutterLossDb(650, 2, 0.05)).toBeCloseTo(19.2, 1);
    expect(computeStatisticalClutterLossDb(15_800, 26.6, 0.45)).toBeCloseTo(32.5, 1);
  });

  it("has at its least distance what the published test data have there (0.5 GHz, 250 m: 17.4, 3.9, 30.9 dB)", () => {
    expect(computeStatisticalClutterLossDb(250, 0.5, 0.5)).toBeCloseTo(17.4, 1);
    expect(computeStatisticalClutterLossDb(250, 0.5, 0.01)).toBeCloseTo(3.9, 1);
    expect(computeStatisticalClutterLossDb(250, 0.5, 0.99)).toBeCloseTo(30.9, 1);
  });

  it("holds its loss from 250 m inward and from 2 km outward, and never falls between", () => {
    const at = (distanceM: number) => computeStatisticalClutterLossDb(distanceM, 5.8, 0.5);
    for (const distanceM of [0, 1, 33, 249]) expect(at(distanceM)).toBe(at(250));
    for (let distanceM = 250; distanceM < 5000; distanceM += 50) {
      expect(at(distanceM + 50)).toBeGreaterThanOrEqual(at(distanceM));
    }
    expect(at(50_000)).toBe(at(2000));
  });

  it("grows with the share of places that it must hold at", () => {
    for (let share = 0.05; share < 0.9; share += 0.05) {
      expect(computeStatisticalClutterLossDb(800, 5.8, share + 0.05)).toBeGreaterThan(
        computeStatisticalClutterLossDb(800, 5.8, share),
      );
    }
  });
});
