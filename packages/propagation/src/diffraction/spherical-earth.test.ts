import { expect, it } from "vitest";
import { computeFirstTermLossDb, computeSphericalEarthLossDb, type Polarisation } from "./spherical-earth.ts";

const FOUR_THIRDS_M = 6_371_000 * (4 / 3);

it.each([
  // Independent script that reproduces all published values (standards data, ids ft-*).
  { distanceM: 40_000, txHeightM: 30, rxHeightM: 10, frequencyGhz: 5.8, polarisation: "horizontal", lossDb: 22.323248 },
  { distanceM: 60_000, txHeightM: 20, rxHeightM: 20, frequencyGhz: 0.1, polarisation: "vertical", lossDb: 40.7391587 },
  { distanceM: 100_000, txHeightM: 50, rxHeightM: 10, frequencyGhz: 1, polarisation: "vertical", lossDb: 69.4944367 },
])("loses $lossDb dB by the first term", ({ lossDb, polarisation, ...path }) => {
  const sphere = { radiusM: FOUR_THIRDS_M, ground: "land", polarisation: polarisation as Polarisation } as const;
  expect(computeFirstTermLossDb({ ...path, ...sphere })).toBeCloseTo(lossDb, 6);
});

it("grows from 0 inside the horizon to the first term, without a step at the horizon", () => {
  const horizonM = Math.sqrt(2 * FOUR_THIRDS_M) * (Math.sqrt(30) + Math.sqrt(10));
  const loss = (distanceM: number) =>
    computeSphericalEarthLossDb({
      distanceM,
      txHeightM: 30,
      rxHeightM: 10,
      frequencyGhz: 5.8,
      wavelengthM: 0.2998 / 5.8,
      effectiveEarthRadiusM: FOUR_THIRDS_M,
      polarisation: "horizontal",
      seaFraction: 0,
    });
  expect(loss(5000)).toBe(0);
  expect(loss(25_000)).toBeGreaterThan(0);
  expect(Math.abs(loss(horizonM - 1e-3) - loss(horizonM + 1e-3))).toBeLessThan(1e-3);
  for (let km = 5; km < 60; km++) expect(loss((km + 1) * 1000)).toBeGreaterThanOrEqual(loss(km * 1000));
});
