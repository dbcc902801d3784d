import { describe, expect, it } from "vitest";
import {
  airyPowerWithin,
  arrayFactor,
  besselJ,
  binomialWeights,
  broadsideArray,
  chebyshevWeights,
  cosineOnPedestal,
  cosinePower,
  dipoleDirectivity,
  directivityFromWidths,
  farFieldDistanceM,
  lineAperture,
  lowerNullDeg,
  parabolicPower,
  polarisationMismatchDb,
  roundAperture,
  steeringPhaseDeg,
  TRIANGULAR,
  tabulatedBesselJ,
  taperWeights,
  UNIFORM,
  zeroOfJ1,
} from "../index.ts";

describe("Bessel functions", () => {
  // M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, table 9.1.
  it.each([
    { order: 0, x: 1, value: 0.7651976866 },
    { order: 1, x: 1, value: 0.4400505857 },
    { order: 2, x: 1, value: 0.1149034849 },
    { order: 0, x: 10, value: -0.2459357645 },
    { order: 1, x: 10, value: 0.0434727462 },
  ])("J$order($x) is $value", ({ order, x, value }) => expect(besselJ(order, x)).toBeCloseTo(value, 9));

  it("are read from their table within 1e-6, up to large arguments", () => {
    for (const order of [0, 2]) {
      const table = tabulatedBesselJ(order, 200);
      for (let x = 0; x <= 200; x += 0.37) expect(Math.abs(table(x) - besselJ(order, x))).toBeLessThan(1e-6);
    }
  });

  it("put 83.8 % of an Airy pattern inside its first null", () => {
    expect(airyPowerWithin(zeroOfJ1(1))).toBeCloseTo(0.837785, 6);
    expect(airyPowerWithin(zeroOfJ1(2))).toBeCloseTo(0.909931, 6);
  });
});

describe("apertures", () => {
  // C. A. Balanis, Antenna Theory, tables 12.1 and 12.2; W. L. Stutzman, G. A. Thiele, tables of tapers.
  it.each([
    { name: "uniform", light: UNIFORM, widthDeg: 50.76, sideLobeDb: -13.26, efficiency: 1 },
    { name: "cosine", light: cosinePower(1), widthDeg: 68.12, sideLobeDb: -23, efficiency: 0.8106 },
    { name: "cosine squared", light: cosinePower(2), widthDeg: 82.54, sideLobeDb: -31.47, efficiency: 0.6667 },
    { name: "triangular", light: TRIANGULAR, widthDeg: 73.09, sideLobeDb: -26.52, efficiency: 0.75 },
    { name: "pedestal", light: cosineOnPedestal(10), widthDeg: 59.1, sideLobeDb: -20.06, efficiency: 0.9273 },
  ])("a line with $name light", ({ light, widthDeg, sideLobeDb, efficiency }) => {
    const line = lineAperture(light);
    expect(Math.abs(line.halfPowerWidthDeg - widthDeg)).toBeLessThan(0.01);
    expect(Math.abs(line.firstSideLobeDb - sideLobeDb)).toBeLessThan(0.01);
    expect(Math.abs(line.efficiency - efficiency)).toBeLessThan(1e-4);
  });

  it.each([
    { power: 0, widthDeg: 58.957, sideLobeDb: -17.57, efficiency: 1 },
    { power: 1, widthDeg: 72.748, sideLobeDb: -24.639, efficiency: 0.75 },
    { power: 2, widthDeg: 84.38, sideLobeDb: -30.61, efficiency: 5 / 9 },
  ])("a round mouth with (1 - r^2)^$power", ({ power, widthDeg, sideLobeDb, efficiency }) => {
    const mouth = roundAperture(parabolicPower(power));
    expect(Math.abs(mouth.halfPowerWidthDeg - widthDeg)).toBeLessThan(0.01);
    expect(Math.abs(mouth.firstSideLobeDb - sideLobeDb)).toBeLessThan(0.01);
    expect(Math.abs(mouth.efficiency - efficiency)).toBeLessThan(1e-4);
  });
});

describe("arrays", () => {
  // C. A. Balanis, Antenna Theory, chapter 6; J. D. Kraus.
  it("of 8 fed alike, half a wavelength apart", () => {
    const array = broadsideArray({ count: 8, spacing: 0.5 });
    expect(array.firstNullDeg).toBeCloseTo(14.47751, 4);
    expect(array.halfPowerWidthDeg).toBeCloseTo(12.80253, 4);
    expect(array.firstSideLobeDb).toBeCloseTo(-12.7973, 3);
    expect(array.directivity).toBeCloseTo(8, 9);
  });

  it("steer by a phase and keep a null below the beam", () => {
    expect(steeringPhaseDeg(0.7, 10)).toBeCloseTo(-43.7593408, 6);
    expect(lowerNullDeg({ count: 8, spacing: 0.8 }, -4)).toBeCloseTo(-13.0620695, 6);
  });

  it("with Dolph-Chebyshev weights have side lobes of one level", () => {
    for (const count of [9, 10, 16]) {
      const weights = chebyshevWeights(count, 30);
      const levels = Array.from({ length: 2001 }, (_, i) => Math.abs(arrayFactor(weights, 0.5, i / 2000)));
      const peaks = levels.filter((level, i) => i > 0 && level > levels[i - 1] && level >= (levels[i + 1] ?? 0));
      expect(peaks.length).toBeGreaterThan(2);
      for (const peak of peaks) expect(20 * Math.log10(peak / levels[0])).toBeCloseTo(-30, 2);
    }
  });

  it("with binomial weights have none", () => {
    expect(binomialWeights(4)).toEqual([1, 3, 3, 1]);
    expect(arrayFactor([1, 3, 3, 1], 0.5, 0.3)).toBeCloseTo(8 * Math.cos((Math.PI / 2) * 0.3) ** 3, 12);
  });

  it("taper to the pedestal at the ends and 1 in the middle", () => {
    const weights = taperWeights({ kind: "cosine", pedestalDb: 10 }, 5);
    expect(weights[2]).toBe(1);
    expect(20 * Math.log10(weights[0])).toBeCloseTo(-10, 9);
    expect(taperWeights({ kind: "chebyshev", sideLobeDb: 20 }, 1)).toEqual([1]);
    expect(taperWeights({ kind: "cosine", pedestalDb: 10 }, 1)).toEqual([1]);
  });
});

it("gives the directivities of the textbooks", () => {
  // Balanis 4.2, 4.6 and 2.6; polarisation 2.12; IEEE Std 149.
  expect(dipoleDirectivity(0)).toBeCloseTo(1.5, 6);
  expect(dipoleDirectivity(0.5)).toBeCloseTo(1.6409, 4);
  expect(directivityFromWidths(10, 10).krausDbi).toBeCloseTo(26.1546, 4);
  expect(directivityFromWidths(90, 6.9).taiPereiraDbi).toBeCloseTo(9.5119, 4);
  expect(polarisationMismatchDb(45)).toBeCloseTo(3.0103, 4);
  expect(farFieldDistanceM(0.6, 5.8)).toBeCloseTo(13.9296, 4);
});
