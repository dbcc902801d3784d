import { expect, it } from "vitest";
import { rainAttenuationDbPerKm, rainCoefficients, rainCoefficientsOnPath, rainFadeDb } from "./index.ts";

it("has the coefficients of P.838-3 (table 5 at 1 GHz; study group 3 validation data at 14.25 GHz)", () => {
  expect(rainCoefficients(1, "horizontal").k).toBeCloseTo(0.0000259, 7);
  expect(rainCoefficients(1, "vertical").alpha).toBeCloseTo(0.8592, 4);
  const { k, alpha } = rainCoefficientsOnPath(14.25, 31.07699124, 0);
  expect(k).toBeCloseTo(0.03975488, 8);
  expect(alpha).toBeCloseTo(1.12418043, 8);
  expect(rainAttenuationDbPerKm(26.48052, { k, alpha })).toBeCloseTo(1.58130839, 7);
});

it("takes a little of a 5.8 GHz path, much of a 60 GHz one (standards data, ids p530-rain-*)", () => {
  const rain = { rainMmPerH: 42, polarisation: "vertical" } as const;
  expect(rainFadeDb({ ...rain, distanceM: 5000, frequencyGhz: 5.8 })).toBeCloseTo(0.562864, 4);
  expect(rainFadeDb({ ...rain, distanceM: 1000, frequencyGhz: 60 })).toBeCloseTo(19.481729, 4);
  expect(rainFadeDb({ ...rain, distanceM: 10, frequencyGhz: 5.8 })).toBeCloseTo(0.1498658 * 0.01 * 2.5, 6);
});
