import { expect, test } from "vitest";
import { computeBulgeM, computeFirstZoneRadiusM } from "./path-shape.ts";

/** Figures of the trade, printed to 0.1 m: 17.32 sqrt(d1 d2 / (f d)) half way at 5.8 GHz, and the bulge at k = 4/3. */
const FRESNEL_ZONES = [
  { km: 2, zoneM: 5.1, partM: 3.1, bulge: null },
  { km: 5, zoneM: 8.0, partM: 4.8, bulge: 0.4 },
  { km: 10, zoneM: 11.4, partM: 6.8, bulge: 1.5 },
  { km: 15, zoneM: 13.9, partM: 8.4, bulge: 3.3 },
];
const FOUR_THIRDS_M = (4 / 3) * 6_371_000;

test.each(FRESNEL_ZONES)(
  "half way of $km km: first zone $zoneM m, 60 % of it $partM m",
  ({ km, zoneM, partM, bulge }) => {
    const halfM = km * 500;
    const radiusM = computeFirstZoneRadiusM(halfM, halfM, 5.8);
    expect(Math.abs(radiusM - zoneM)).toBeLessThanOrEqual(0.051);
    expect(Math.abs(0.6 * radiusM - partM)).toBeLessThanOrEqual(0.051);
    if (bulge !== null) expect(Math.abs(computeBulgeM(halfM, halfM, FOUR_THIRDS_M) - bulge)).toBeLessThanOrEqual(0.051);
  },
);

test("zone and bulge close at the ends, and are the same from either", () => {
  expect([computeFirstZoneRadiusM(0, 5000, 5.8), computeBulgeM(5000, 0, FOUR_THIRDS_M)]).toEqual([0, 0]);
  expect(computeFirstZoneRadiusM(1000, 4000, 5.8)).toBe(computeFirstZoneRadiusM(4000, 1000, 5.8));
});
