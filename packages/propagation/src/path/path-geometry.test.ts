import { DEG_PER_RAD } from "@fellmark/units";
import { expect, it } from "vitest";
import { computeDeltaBullington } from "../diffraction/delta-bullington.ts";
import { findPathGeometry } from "./path-geometry.ts";
import type { PathProfile } from "./path-profile.ts";

const FOUR_THIRDS_M = 6_371_000 * (4 / 3);
const WAVELENGTH_M = 0.299792458 / 5.8;

function profileOf(distanceKm: number[], heightAmslM: number[]): PathProfile {
  const bareAmslM = Float64Array.from(heightAmslM);
  return { distanceM: Float64Array.from(distanceKm, (km) => km * 1000), surfaceAmslM: bareAmslM, bareAmslM };
}

function geometryOf(heightsAmslM: number[], txHeightAglM: number, rxHeightAglM: number) {
  return findPathGeometry(profileOf([0, 4, 10], heightsAmslM), txHeightAglM, rxHeightAglM, WAVELENGTH_M, FOUR_THIRDS_M);
}

it("names what blocks: 60 m at 4 km under a line at 22 m, with 1.413 m of bulge", () => {
  const blocked = geometryOf([0, 60, 0], 30, 10);
  expect(blocked.class).toBe("blocked");
  expect(blocked.blocking?.distanceM).toBe(4000);
  expect(blocked.blocking?.excessM).toBeCloseTo(60 - 22 + (4000 * 6000) / (2 * FOUR_THIRDS_M), 9);
  // First Fresnel radius 11.137 m (P.526-15 eq (2): 17.3 sqrt(4 * 6 / (5.8 * 10)) rounds to 11.13).
  expect(blocked.fresnelClearance).toBeCloseTo(-39.4126 / 11.137, 3);
});

it("leaves toward the ridge, which is higher than the straight line", () => {
  const { departureElevationDeg, arrivalElevationDeg, horizons } = geometryOf([0, 60, 0], 30, 10);
  expect(departureElevationDeg).toBeCloseTo(Math.atan(30 / 4000 - 4000 / (2 * FOUR_THIRDS_M)) * DEG_PER_RAD, 9);
  expect(arrivalElevationDeg).toBeCloseTo(Math.atan(50 / 6000 - 6000 / (2 * FOUR_THIRDS_M)) * DEG_PER_RAD, 9);
  expect(horizons.transmitter?.elevationDeg).toBe(departureElevationDeg);
  expect(horizons.receiver?.distanceM).toBe(4000);
});

it("leaves along the straight line where the path is clear", () => {
  const clear = geometryOf([0, 0, 0], 30, 10);
  expect(clear.class).toBe("clear");
  expect(clear.blocking).toBeNull();
  expect(clear.departureElevationDeg).toBeCloseTo(
    Math.atan(-20 / 10_000 - 10_000 / (2 * FOUR_THIRDS_M)) * DEG_PER_RAD,
    9,
  );
});

it("calls a path grazing between the sight line and 60 % of the Fresnel radius", () => {
  const sightM = 22 - (4000 * 6000) / (2 * FOUR_THIRDS_M);
  expect(geometryOf([0, sightM - 6.6, 0], 30, 10).class).toBe("grazing");
  expect(geometryOf([0, sightM - 6.8, 0], 30, 10).class).toBe("clear");
  expect(geometryOf([0, sightM + 0.01, 0], 30, 10).class).toBe("blocked");
});

it("is blocked just where the Bullington part is over the horizon", () => {
  for (let ridgeM = 10; ridgeM < 40; ridgeM += 0.5) {
    const profile = profileOf([0, 4, 10], [0, ridgeM, 0]);
    const { transHorizon } = computeDeltaBullington({
      profile,
      txHeightAglM: 30,
      rxHeightAglM: 10,
      wavelengthM: WAVELENGTH_M,
      frequencyGhz: 5.8,
      effectiveEarthRadiusM: FOUR_THIRDS_M,
      polarisation: "vertical",
      seaFraction: 0,
    });
    expect(geometryOf([0, ridgeM, 0], 30, 10).class === "blocked").toBe(transHorizon);
  }
});

it("refuses a profile with a gap rather than guess", () => {
  expect(() => geometryOf([0, Number.NaN, 0], 30, 10)).toThrow(/known height/);
});
