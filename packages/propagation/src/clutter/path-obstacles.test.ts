import { computeWavelengthM } from "@fellmark/units";
import { expect, it } from "vitest";
import { computeFresnelRadiusM } from "../path/fresnel-zone.ts";
import type { CoveredProfile } from "./covered-profile.ts";
import { findPathObstacles } from "./path-obstacles.ts";

const LINE = {
  txAmslM: 30,
  rxAmslM: 10,
  effectiveEarthRadiusM: 6_371_000 * (4 / 3),
  wavelengthM: computeWavelengthM(5.8),
};

/** Flat ground over 10 km with points at 2, 4 and 7 km. */
function flatPath(canopyHeightM: number[] = [0, 0, 0], buildingHeightM: number[] = [0, 0, 0]): CoveredProfile {
  return {
    distanceM: Float64Array.of(0, 2000, 4000, 7000, 10_000),
    groundAmslM: new Float64Array(5),
    canopyHeightM: Float64Array.of(50, ...canopyHeightM, 50),
    buildingHeightM: Float64Array.of(50, ...buildingHeightM, 50),
  };
}

it("finds nothing on a free path, whatever stands at its ends", () => {
  expect(findPathObstacles(flatPath(), LINE)).toEqual({ ground: null, trees: null, building: null });
});

it("tells trees of 25 m at 4 km: 4.41 m over a line at 22 m with 1.41 m of bulge, 11.10 m into the zone", () => {
  const { trees, ground, building } = findPathObstacles(flatPath([0, 25, 0]), LINE);
  expect([ground, building]).toEqual([null, null]);
  expect(trees?.distanceM).toBe(4000);
  expect(trees?.topAmslM).toBe(25);
  expect(trees?.overLineM).toBeCloseTo(25 - 22 + (4000 * 6000) / (2 * LINE.effectiveEarthRadiusM), 9);
  // First Fresnel radius 11.1378 m (P.526-15, eq (2)).
  expect(trees?.overZoneM).toBeCloseTo(4.4126 + 0.6 * 11.1378, 3);
  expect(trees?.fresnelClearance).toBeCloseTo(-4.4126 / 11.1378, 4);
});

it("tells a house that enters 60 % of the zone alone: the line is free, the clearance below 0.6", () => {
  const { building } = findPathObstacles(flatPath([0, 0, 0], [0, 0, 9]), LINE);
  // The line is at 16 m at 7 km, the bulge 1.2361 m: 5.76 m free of a zone of 10.42 m.
  expect(building?.overLineM).toBeCloseTo(9 + 1.2361 - 16, 3);
  expect(building?.fresnelClearance).toBeCloseTo(5.7639 / computeFresnelRadiusM(7000, 3000, 5.8), 4);
  expect(building?.fresnelClearance).toBeLessThan(0.6);
});

it("names the greatest intrusion of each kind by Fresnel zones, not by metres", () => {
  const profile = { ...flatPath([27, 0, 17], [0, 0, 20]), groundAmslM: Float64Array.of(0, 0, 22, 0, 0) };
  const { ground, trees, building } = findPathObstacles(profile, LINE);
  expect([ground?.distanceM, building?.distanceM]).toEqual([4000, 7000]);
  // At 2 km 1.94 m over the line in a zone of 9.09 m, at 7 km 2.24 m in one of 10.42 m: 0.2135 against 0.2146.
  expect(trees?.distanceM).toBe(7000);
});

it("passes over heights that are not known", () => {
  const { trees } = findPathObstacles(flatPath([Number.NaN, 25, 0]), LINE);
  expect(trees?.distanceM).toBe(4000);
});
