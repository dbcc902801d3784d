import { computeWavelengthM, TerrainError } from "@fellmark/units";
import { expect, it } from "vitest";
import { computeFreeSpaceLossDb } from "../path/free-space.ts";
import { computeLocationVariabilityDb } from "../statistics/location-variability.ts";
import { computeP1812Loss, type P1812Input } from "./basic-loss.ts";

/** 8 km of hilly land at 5.8 GHz, trees of 10 m in the middle. */
function hillyPath(): P1812Input {
  const bareAmslM = Float64Array.of(100, 104, 110, 125, 118, 121, 108, 99, 96);
  return {
    profile: {
      distanceM: bareAmslM.map((_, i) => i * 1000),
      bareAmslM,
      surfaceAmslM: bareAmslM.map((groundM, i) => groundM + (i > 2 && i < 6 ? 10 : 0)),
    },
    zones: new Array(bareAmslM.length).fill("inland"),
    txHeightAglM: 25,
    rxHeightAglM: 6,
    frequencyGhz: 5.8,
    wavelengthM: computeWavelengthM(5.8),
    polarisation: "vertical",
    timePercent: 50,
    locationPercent: 50,
    locationSpreadDb: 0,
    deltaN: 39.25,
    seaLevelRefractivity: 315,
    pathCentreLatitudeDeg: 45,
    txCoastKm: 500,
    rxCoastKm: 500,
  };
}

const loss = (change: Partial<P1812Input> = {}) => computeP1812Loss({ ...hillyPath(), ...change });

it("is free space for the median of a path well clear of the ground, but for the rounded constant", () => {
  const { lbDb, lbfsDb, fj } = loss({ txHeightAglM: 300, rxHeightAglM: 300 });
  expect(fj).toBeGreaterThan(0.99);
  expect(lbDb).toBeCloseTo(lbfsDb, 6);
  // P.1812-6 eq (8) has 92.4 where P.525-4 gives 92.44778 dB.
  expect(lbfsDb).toBeCloseTo(computeFreeSpaceLossDb(8000, 5.8) - 0.04778, 4);
});

it("gives more field for rarer times, and less for more places", () => {
  const byTime = [1, 3, 10, 30, 50].map((timePercent) => loss({ timePercent }).lbDb);
  expect(byTime).toEqual(byTime.toSorted((a, b) => a - b));
  const byPlace = [1, 25, 50, 75, 99].map((locationPercent) => loss({ locationPercent, locationSpreadDb: 2 }).lbDb);
  expect(byPlace).toEqual(byPlace.toSorted((a, b) => a - b));
});

it("puts 90 % of places 1.28 deviations over the median (P.1812-6 eqs (66), (69); 1.2816 of the normal table)", () => {
  const locationSpreadDb = computeLocationVariabilityDb({
    frequencyGhz: 5.8,
    widthM: 100,
    antennaHeightAglM: 5,
    clutterHeightM: 15,
  });
  const rise = loss({ locationPercent: 90, locationSpreadDb }).lbDb - loss({ locationSpreadDb }).lbDb;
  // 4.5e-4 is the error that P.1812-6, Attachment 2, states of its inverse normal.
  expect(Math.abs(rise / locationSpreadDb - 1.28155)).toBeLessThan(4.5e-4);
});

it("never falls under the loss with line of sight, however lucky the place (eq (69))", () => {
  const { lbDb, lb0pDb } = loss({ txHeightAglM: 300, locationPercent: 1, locationSpreadDb: 10 });
  expect(lbDb).toBe(lb0pDb);
});

it("is the same from either end of a path over land", () => {
  const there = hillyPath();
  const reversed = (heights: Float64Array) => heights.toReversed();
  const { distanceM, bareAmslM, surfaceAmslM } = there.profile;
  const back = {
    profile: {
      distanceM: reversed(distanceM).map((m) => distanceM[distanceM.length - 1] - m),
      bareAmslM: reversed(bareAmslM),
      surfaceAmslM: reversed(surfaceAmslM),
    },
    txHeightAglM: there.rxHeightAglM,
    rxHeightAglM: there.txHeightAglM,
  };
  expect(loss({ ...back, timePercent: 5 }).lbDb).toBeCloseTo(loss({ timePercent: 5 }).lbDb, 9);
});

it("says the field of 1 kW: 199.36 + 20 log f - Lb (eq (70))", () => {
  const { lbDb, fieldStrengthDbUvM } = loss();
  expect(fieldStrengthDbUvM + lbDb).toBeCloseTo(199.36 + 20 * Math.log10(5.8), 12);
});

it("refuses what it cannot compute", () => {
  const { profile } = hillyPath();
  const hole = profile.bareAmslM.with(2, Number.NaN);
  expect(() => loss({ profile: { ...profile, bareAmslM: hole } })).toThrow(TerrainError);
  expect(() => loss({ timePercent: 0.5 })).toThrow("1 to 50 % of time");
  expect(() => loss({ locationPercent: 100 })).toThrow("1 to 99 % of places");
  expect(() => loss({ zones: ["inland"] })).toThrow("has 1 zones");
});
