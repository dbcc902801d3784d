import { describe, expect, test } from "vitest";
import { EAST_M, type Island } from "./island-terrain.ts";
import { computeGroundOverLineM, isInBeam } from "./sight.ts";

/** A strip of 401 samples from west to east at sea level, with one wall in the middle. */
function strip(wallM: number): Island {
  const heightsM = new Int16Array(401);
  heightsM[200] = wallM;
  return { seed: 0, col0: 0, row0: 0, width: 401, height: 1, heightsM };
}

describe("ground over the line", () => {
  const over = (wallM: number, fromM: number, toM: number) =>
    computeGroundOverLineM(strip(wallM), { index: 0, heightAglM: fromM }, { index: 400, heightAglM: toM });

  test("is a wall less the line's height there, and the Earth's bulge", () => {
    // d1 d2 / (2 k R) with d1 = d2 = 5,221 m, k = 4/3, R = 6,371 km: 1.60 m.
    const halfM = 200 * EAST_M;
    expect(over(50, 30, 6)).toBeCloseTo(50 - 18 + (halfM * halfM) / (2 * (4 / 3) * 6_371_000), 6);
    expect(over(50, 30, 6)).toBeCloseTo(33.6, 1);
  });

  test("is negative where the line runs free, and the same from either end", () => {
    expect(over(10, 30, 20)).toBeLessThan(0);
    expect(over(50, 30, 6)).toBeCloseTo(over(50, 6, 30), 9);
  });
});

test("a beam reaches 45 degrees to either side of its azimuth", () => {
  const island = strip(0);
  expect([46, 90, 134].map((azimuthDeg) => isInBeam(island, 0, 400, azimuthDeg))).toEqual([true, true, true]);
  expect([0, 44, 136, 270].map((azimuthDeg) => isInBeam(island, 0, 400, azimuthDeg))).toEqual(Array(4).fill(false));
});
