import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { addBullingtonTailDb, computeBullingtonLoss, computeBullingtonTailDb } from "./bullington.ts";
import { lowerForObstruction } from "./smooth-earth.ts";
import { computeFreeHeightM, mayCostSmoothEarth } from "./smooth-earth-bound.ts";
import { computeSmoothBullingtonDb, createStepFrame } from "./smooth-path.ts";
import { computeSphericalEarthLossDb } from "./spherical-earth.ts";

const EARTH_M = (4 / 3) * 6_371_000;
const LAMBDA_M = 0.299792458 / 5.8;

it("adds the tail of eq (21): 10 + 0.02 d, none of it without an edge, 63 % of it at J = 6 dB", () => {
  expect(computeBullingtonTailDb(10_000)).toBeCloseTo(10.2, 12);
  expect(addBullingtonTailDb(0, 10.2)).toBe(0);
  expect(addBullingtonTailDb(6, 10.2)).toBeCloseTo(6 + (1 - Math.exp(-1)) * 10.2, 12);
});

it("shares an obstruction by the slopes: 40 m with 0.03 and 0.01 lower 36 and 24 m to 6 and 14 m (eqs (88))", () => {
  const fit = { txAmslM: 36, rxAmslM: 24 };
  const lowered = lowerForObstruction(fit, { heightM: 40, txSlope: 0.03, rxSlope: 0.01 });
  expect(lowered.txAmslM).toBeCloseTo(6, 12);
  expect(lowered.rxAmslM).toBeCloseTo(14, 12);
  expect(lowerForObstruction(fit, { heightM: 0, txSlope: 0.03, rxSlope: 0.01 })).toEqual(fit);
  expect(lowerForObstruction(fit, { heightM: -Infinity, txSlope: -Infinity, rxSlope: -Infinity })).toEqual(fit);
});

it("loses over a smooth path what the literal Bullington part loses over every sample of it", () => {
  const random = createSeededRandom(3);
  let worst = 0;
  for (let count = 0; count < 500; count++) {
    const samples = 1 + Math.floor(400 * random());
    const stepM = 5 + 100 * random();
    const steps = samples + 0.5 + random();
    const heights = { txHeightM: 0.5 + 80 * random() ** 2, rxHeightM: 0.5 + 30 * random() ** 2 };
    const distanceM = Float64Array.from({ length: samples + 2 }, (_, i) => (i <= samples ? i : steps) * stepM);
    const literal = computeBullingtonLoss({
      distanceM,
      heightAmslM: new Float64Array(samples + 2),
      txAmslM: heights.txHeightM,
      rxAmslM: heights.rxHeightM,
      wavelengthM: LAMBDA_M,
      effectiveEarthRadiusM: EARTH_M,
    });
    const frame = createStepFrame(stepM, LAMBDA_M, EARTH_M);
    worst = Math.max(worst, Math.abs(computeSmoothBullingtonDb(frame, heights, steps, samples) - literal.lossDb));
  }
  expect(worst).toBeLessThan(1e-9);
});

describe("the height from which a smooth Earth costs nothing", () => {
  it("is 7.746 m over 10 km at 5.8 GHz: 1.471 m of bulge and 0.276 sqrt(lambda d) = 6.275 m", () => {
    expect(computeFreeHeightM(10_000, LAMBDA_M, EARTH_M)).toBeCloseTo(1.4715 + 6.275, 3);
  });

  it("promises 0 dB wherever it says so, and is not far from where loss begins", () => {
    const random = createSeededRandom(5);
    let free = 0;
    let costly = 0;
    for (let count = 0; count < 5000; count++) {
      const distanceM = 200 + 60_000 * random();
      const freeM = computeFreeHeightM(distanceM, LAMBDA_M, EARTH_M);
      const txHeightM = freeM * 4 ** (2 * random() - 1);
      const rxHeightM = ((0.9 + 0.4 * random()) * freeM) ** 2 / txHeightM;
      const path = { frequencyGhz: 5.8, wavelengthM: LAMBDA_M, effectiveEarthRadiusM: EARTH_M, seaFraction: 0 };
      const lossDb = computeSphericalEarthLossDb({
        ...path,
        distanceM,
        txHeightM,
        rxHeightM,
        polarisation: "vertical",
      });
      if (mayCostSmoothEarth(txHeightM, rxHeightM, freeM)) costly += lossDb > 0 ? 1 : 0;
      else {
        expect(lossDb).toBe(0);
        free += 1;
      }
    }
    expect(Math.min(free, costly)).toBeGreaterThan(200);
  });

  it("says nothing of antennas at or below the surface", () => {
    expect(mayCostSmoothEarth(0, 1e9, 5)).toBe(true);
    expect(mayCostSmoothEarth(-10, -10, 5)).toBe(true);
    expect(mayCostSmoothEarth(6, 6, 5)).toBe(false);
    expect(mayCostSmoothEarth(5, 5, 5)).toBe(true);
  });
});
