import { expect, it } from "vitest";
import { TIER_CLASS } from "../tier-class.ts";
import { computeTierAreas } from "./tier-areas.ts";

const WINDOW = { zoom: 12, col0: 312_000, row0: 377_000, width: 100, height: 100 };

it("has the ground area of the same rectangle on the ellipsoid", () => {
  const [, plan] = computeTierAreas(WINDOW, new Uint8Array(10_000).fill(1));
  // geographiclib-geodesic, Geodesic.WGS84.Polygon over 101 points along each parallel: 7294032.7885 m^2.
  expect(plan.areaM2).toBeCloseTo(7_294_032.7885, 3);
  expect(plan).toMatchObject({ cells: 10_000, share: 1 });
});

it("leaves the cells outside out of the shares, not those unknown", () => {
  const classes = new Uint8Array(10_000).fill(TIER_CLASS.outside);
  classes.set([1, 1, 0, TIER_CLASS.notKnown]);
  const areas = computeTierAreas(WINDOW, classes);
  expect([areas[1].share, areas[0].share, areas[254].share, areas[255].share]).toEqual([0.5, 0.25, 0.25, 0]);
});
