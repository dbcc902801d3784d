import { findGeodesic, findGeodesicPoint } from "@fellmark/geodesy";
import { createSeededRandom } from "@fellmark/testkit";
import { expect, it } from "vitest";
import { createPlainLine } from "./plain-line.ts";

/** Through three nodes at shares 0, 1/2 and 1. */
const parabola = (nodes: Float64Array, share: number) =>
  nodes[0] * (1 - share) * (1 - 2 * share) + nodes[1] * 4 * share * (1 - share) + nodes[2] * share * (2 * share - 1);

it.each<[distanceM: number, withinM: number]>([
  [80_000, 15],
  [40_000, 2],
])(
  "over %i m lies within %i m of the geodesic up to 60 degrees of latitude, across the antimeridian too",
  (distanceM, withinM) => {
    const random = createSeededRandom(1);
    let worstM = 0;
    for (let count = 0; count < 300; count++) {
      const from = { lon: 179.5 + random(), lat: -60 + 120 * random() };
      const to = findGeodesicPoint(from, 360 * random(), distanceM);
      const line = findGeodesic(from, to);
      const { nodeLon, nodeLat } = createPlainLine(from, { ...to, lon: to.lon > 180 ? to.lon - 360 : to.lon }, line);
      for (let share = 0.1; share < 1; share += 0.1) {
        const at = { lon: parabola(nodeLon, share), lat: parabola(nodeLat, share) };
        const exact = findGeodesicPoint(from, line.azimuthDeg, share * line.distanceM);
        worstM = Math.max(worstM, findGeodesic(at, exact).distanceM);
      }
    }
    expect(worstM).toBeLessThan(withinM);
  },
);
