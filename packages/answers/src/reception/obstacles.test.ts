import { createEvenPath } from "@fellmark/coverage";
import { findPathGeometry, toPathProfile } from "@fellmark/propagation";
import { createSeededRandom } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { findObstacles } from "./obstacles.ts";

const EARTH_M = (4 / 3) * 6_371_000;
const AZIMUTHS = { azimuthDeg: 0, backAzimuthDeg: 180 };

/** 10 km of plain with hills of given heights at given kilometres, each 200 m wide. */
function pathOver(hills: [km: number, heightM: number][]) {
  const heights = new Float64Array(501);
  for (const [km, heightM] of hills) heights.fill(heightM, km * 50 - 5, km * 50 + 5);
  return createEvenPath(10_000, heights, AZIMUTHS);
}

describe("obstacles above the line", () => {
  const ends = { txHeightAglM: 20, rxHeightAglM: 20 };

  it("is every separate hill, the highest first", () => {
    const { blocking } = findObstacles(
      pathOver([
        [2, 50],
        [5, 90],
        [8, 60],
        [9, 10],
      ]),
      ends,
      EARTH_M,
    );
    expect(blocking.map(({ distanceM }) => Math.round(distanceM / 1000))).toEqual([5, 8, 2]);
    // P.526: the bulge of the Earth at 5 of 10 km is 25e6 / (2 a_e) = 1.47 m; the line runs at 20 m.
    expect(blocking[0].excessM).toBeCloseTo(90 - 20 + 25e6 / (2 * EARTH_M), 1);
  });

  it("is one obstacle where two tops have no deep dip between them, and five at most", () => {
    expect(
      findObstacles(
        pathOver([
          [4, 80],
          [4.2, 60],
          [4.4, 85],
        ]),
        ends,
        EARTH_M,
      ).blocking,
    ).toHaveLength(1);
    const many = Array.from({ length: 8 }, (_, index): [number, number] => [index + 1, 40 + index]);
    expect(findObstacles(pathOver(many), ends, EARTH_M).blocking).toHaveLength(5);
    expect(findObstacles(pathOver([]), ends, EARTH_M).blocking).toEqual([]);
  });

  it("has the highest point and the horizons of pathGeometry", () => {
    const random = createSeededRandom(2);
    for (let count = 0; count < 200; count++) {
      const path = createEvenPath(
        4000 + 20_000 * random(),
        Float64Array.from({ length: 120 }, () => 60 * random()),
        AZIMUTHS,
      );
      const heights = { txHeightAglM: 10 + 40 * random(), rxHeightAglM: 2 + 20 * random() };
      const found = findObstacles(path, heights, EARTH_M);
      const { blocking, horizons } = findPathGeometry(
        toPathProfile(path),
        heights.txHeightAglM,
        heights.rxHeightAglM,
        0.05,
        EARTH_M,
      );
      expect(found.blocking[0]?.distanceM).toBe(blocking?.distanceM);
      expect(found.mastHorizonM).toBeCloseTo(horizons.transmitter?.distanceM ?? -1, 6);
      expect(found.cpeHorizonM).toBeCloseTo(horizons.receiver?.distanceM ?? -1, 6);
    }
  });
});
