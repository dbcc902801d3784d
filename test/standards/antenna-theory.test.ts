import { createCosineOnPedestal } from "@fellmark/antenna";
import { describe, expect, it } from "vitest";
import {
  computeAiryPowerWithin,
  createCosinePower,
  createParabolicPower,
  findZeroOfJ1,
  measureLineAperture,
  measureRoundAperture,
  TRIANGULAR,
  UNIFORM,
} from "./src/antenna-theory/apertures.ts";
import {
  computeDipoleDirectivity,
  computeFarFieldDistanceM,
  computePolarisationMismatchDb,
  estimateDirectivity,
} from "./src/antenna-theory/directivity.ts";
import { computeF699PeakGainDbi, computeF1245SingleEntryGainDbi } from "./src/antenna-theory/dish-reference.ts";
import {
  computeArrayFactor,
  computeBinomialWeights,
  computeSteeringPhaseDeg,
  findLowerNullDeg,
  measureBroadsideArray,
} from "./src/antenna-theory/uniform-array.ts";

// M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, tables 9.1 and 9.5.
it("puts 83.8 % of an Airy pattern inside its first null", () => {
  expect(computeAiryPowerWithin(findZeroOfJ1(1))).toBeCloseTo(0.837785, 6);
  expect(computeAiryPowerWithin(findZeroOfJ1(2))).toBeCloseTo(0.909931, 6);
});

describe("apertures", () => {
  // C. A. Balanis, Antenna Theory, tables 12.1 and 12.2; W. L. Stutzman, G. A. Thiele, tables of tapers.
  it.each([
    { name: "uniform", light: UNIFORM, widthDeg: 50.76, sideLobeDb: -13.26, efficiency: 1 },
    { name: "cosine", light: createCosinePower(1), widthDeg: 68.12, sideLobeDb: -23, efficiency: 0.8106 },
    { name: "cosine squared", light: createCosinePower(2), widthDeg: 82.54, sideLobeDb: -31.47, efficiency: 0.6667 },
    { name: "triangular", light: TRIANGULAR, widthDeg: 73.09, sideLobeDb: -26.52, efficiency: 0.75 },
    { name: "pedestal", light: createCosineOnPedestal(10), widthDeg: 59.1, sideLobeDb: -20.06, efficiency: 0.9273 },
  ])("a line with $name light", ({ light, widthDeg, sideLobeDb, efficiency }) => {
    const line = measureLineAperture(light);
    expect(Math.abs(line.halfPowerWidthDeg - widthDeg)).toBeLessThan(0.01);
    expect(Math.abs(line.firstSideLobeDb - sideLobeDb)).toBeLessThan(0.01);
    expect(Math.abs(line.efficiency - efficiency)).toBeLessThan(1e-4);
  });

  it.each([
    { power: 0, widthDeg: 58.957, sideLobeDb: -17.57, efficiency: 1 },
    { power: 1, widthDeg: 72.748, sideLobeDb: -24.639, efficiency: 0.75 },
    { power: 2, widthDeg: 84.38, sideLobeDb: -30.61, efficiency: 5 / 9 },
  ])("a round mouth with (1 - r^2)^$power", ({ power, widthDeg, sideLobeDb, efficiency }) => {
    const mouth = measureRoundAperture(createParabolicPower(power));
    expect(Math.abs(mouth.halfPowerWidthDeg - widthDeg)).toBeLessThan(0.01);
    expect(Math.abs(mouth.firstSideLobeDb - sideLobeDb)).toBeLessThan(0.01);
    expect(Math.abs(mouth.efficiency - efficiency)).toBeLessThan(1e-4);
  });
});

describe("arrays", () => {
  it("of 8 fed alike, half a wavelength apart", () => {
    const array = measureBroadsideArray({ count: 8, spacing: 0.5 });
    expect(array.firstNullDeg).toBeCloseTo(14.47751, 4);
    expect(array.halfPowerWidthDeg).toBeCloseTo(12.80253, 4);
    expect(array.firstSideLobeDb).toBeCloseTo(-12.7973, 3);
    expect(array.directivity).toBeCloseTo(8, 9);
  });

  it("steer by a phase and keep a null below the beam", () => {
    expect(computeSteeringPhaseDeg(0.7, 10)).toBeCloseTo(-43.7593408, 6);
    expect(findLowerNullDeg({ count: 8, spacing: 0.8 }, -4)).toBeCloseTo(-13.0620695, 6);
  });

  it("with binomial weights have none", () => {
    expect(computeBinomialWeights(4)).toEqual([1, 3, 3, 1]);
    expect(computeArrayFactor([1, 3, 3, 1], 0.5, 0.3)).toBeCloseTo(8 * Math.cos((Math.PI / 2) * 0.3) ** 3, 12);
  });
});

it("gives the directivities of the textbooks", () => {
  // Balanis 4.2, 4.6 and 2.6; polarisation 2.12; IEEE Std 149.
  expect(computeDipoleDirectivity(0)).toBeCloseTo(1.5, 6);
  expect(computeDipoleDirectivity(0.5)).toBeCloseTo(1.6409, 4);
  expect(estimateDirectivity(10, 10).krausDbi).toBeCloseTo(26.1546, 4);
  expect(estimateDirectivity(90, 6.9).taiPereiraDbi).toBeCloseTo(9.5119, 4);
  expect(computePolarisationMismatchDb(45)).toBeCloseTo(3.0103, 4);
  expect(computeFarFieldDistanceM(0.6, 5.8)).toBeCloseTo(13.9296, 4);
});

// Values worked out from the Recommendations' formulas, independently of this code: D = 0.4 m, 5.8 GHz.
it.each([
  { offDeg: 3, singleDbi: 24.1258819 },
  { offDeg: 10, singleDbi: 3.85153349 },
  { offDeg: 60, singleDbi: -5.03076713 },
])("gives the single entry of F.1245-3 at $offDeg degrees", ({ offDeg, singleDbi }) => {
  const dish = { gainDbi: computeF699PeakGainDbi(0.4, 5.8), diameterM: 0.4, frequencyGhz: 5.8 };
  expect(dish.gainDbi).toBeCloseTo(25.473345639, 9);
  expect(computeF1245SingleEntryGainDbi(dish, offDeg)).toBeCloseTo(singleDbi, 6);
});
