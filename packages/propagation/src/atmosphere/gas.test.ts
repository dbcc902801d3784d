import { expect, it } from "vitest";
import {
  computeGasAttenuationDbPerKm,
  computeOxygenAttenuationDbPerKm,
  computeWaterAttenuationDbPerKm,
  STANDARD_AIR,
} from "./gas.ts";

it("has the published values of P.676-9 Annex 2 (ITU-R study group 3 validation data)", () => {
  const air = { pressureHpa: 1013.25, temperatureC: 5.9435147, waterVapourGM3: 4.9815429 };
  expect(computeWaterAttenuationDbPerKm(12, air)).toBeCloseTo(0.007057, 6);
  expect(computeWaterAttenuationDbPerKm(130, air)).toBeCloseTo(0.5635838, 6);
  const cool = { pressureHpa: 1013.25, temperatureC: 282.724 - 273.15, waterVapourGM3: 7.5 };
  expect(computeOxygenAttenuationDbPerKm(14.25, cool)).toBeCloseTo(0.00941327, 7);
});

it("keeps its stated distance from the line-by-line values of P.676-13 (validation data: gamma0, gammaw)", () => {
  // f GHz, oxygen and water, dB/km, at 1013.25 hPa, 288.15 K, 7.5 g/m^3.
  const truth = [
    [1, 0.00538865817, 5.09046173e-5],
    [4, 0.00725896928, 0.000830333923],
  ];
  for (const [f, oxygen, water] of truth) {
    const oxygenOff = computeOxygenAttenuationDbPerKm(f, STANDARD_AIR) / oxygen - 1;
    const waterOff = computeWaterAttenuationDbPerKm(f, STANDARD_AIR) / water - 1;
    expect(oxygenOff).toBeGreaterThan(-0.05);
    expect(oxygenOff).toBeLessThan(0.001);
    expect(waterOff).toBeGreaterThan(-0.001);
    expect(waterOff).toBeLessThan(0.125);
  }
});

it("has the line-by-line values of P.676-13 from 54 to 86 GHz (validation data: gamma)", () => {
  // f GHz, oxygen and water together, dB/km, at 1013.25 hPa, 288.15 K, 7.5 g/m^3.
  const truth = [
    [54, 2.3389],
    [57, 10.20585],
    [60, 14.77834],
    [63, 11.00134],
    [66, 2.1542],
    [71, 0.45668],
    [80, 0.34237],
    [86, 0.35901],
  ];
  for (const [f, gammaDbPerKm] of truth) {
    expect(Math.abs(computeGasAttenuationDbPerKm(f) / gammaDbPerKm - 1)).toBeLessThan(0.125);
  }
  expect(computeGasAttenuationDbPerKm(60)).toBeCloseTo(14.78, 1);
  expect(computeGasAttenuationDbPerKm(0.7)).toBeLessThan(0.006);
});

it("is small at 5.8 GHz, and refuses frequencies outside its sources", () => {
  expect(computeGasAttenuationDbPerKm(5.8)).toBeCloseTo(0.00935, 5);
  expect(computeGasAttenuationDbPerKm(24)).toBeCloseTo(0.1773, 4);
  expect(() => computeGasAttenuationDbPerKm(87)).toThrow(RangeError);
  expect(() => computeGasAttenuationDbPerKm(0.4)).toThrow(RangeError);
});
