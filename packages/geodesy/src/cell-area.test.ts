import { expect, it } from "vitest";
import { computeCellAreaM2, computeCellSizeM, countWorldCells, toLatitudeDeg } from "./index.ts";

it("sums to the area of the ellipsoid between the map's edges", () => {
  let totalM2 = 0;
  for (let row = 0; row < countWorldCells(0); row++) totalM2 += computeCellAreaM2(row, 0) * countWorldCells(0);
  // Authalic sphere 6371007.1809 m (Snyder 1987, table 1); the map ends at 85.0511 degrees, where the authalic
  // latitude's sine is 0.996262 (eq 3-11).
  expect(totalM2 / (4 * Math.PI * 6_371_007.1809 ** 2)).toBeCloseTo(0.99626, 4);
});

it("is the square of the cell size on the ground, but for the ellipsoid", () => {
  const row = 1540;
  expect(computeCellAreaM2(row, 12) / computeCellSizeM(toLatitudeDeg(row + 0.5, 12), 12) ** 2).toBeCloseTo(1, 1);
});
