import type { Position } from "geojson";
import { expect, it } from "vitest";
import { findGeometryFaults } from "./geometry-faults.ts";

/** The faults of polygons, each a feature of its own, given by their rings. */
function faultsOf(...polygons: Position[][][]): string[] {
  const features = polygons.map((coordinates) => ({ geometry: { type: "Polygon" as const, coordinates } }));
  return findGeometryFaults({ features });
}

/** A square ring with its south-west corner at (x, y), anticlockwise. */
function square(x: number, y: number, size: number): Position[] {
  return [
    [x, y],
    [x + size, y],
    [x + size, y + size],
    [x, y + size],
    [x, y],
  ];
}

it("finds nothing in a square with a hole beside another square", () => {
  expect(faultsOf([square(0, 0, 4), square(1, 1, 1).reverse()], [square(4, 0, 4)])).toEqual([]);
});

it("finds each fault of a ring", () => {
  expect(faultsOf([square(0, 0, 1).reverse()])[0]).toContain("runs clockwise");
  expect(faultsOf([square(0, 0, 4), square(1, 1, 1)])[0]).toContain("runs anticlockwise");
  expect(faultsOf([square(0, 0, 1).slice(0, 4)])[0]).toContain("is not closed");
  expect(faultsOf([square(0, 0, 1).slice(2)])[0]).toContain("has 3 positions");
  expect(faultsOf([square(179.5, 0, 1)])[0]).toContain("leaves the world");
  expect(faultsOf([square(0.123456789, 0, 1)])[0]).toContain("more than 7 decimals");
});

it("finds a ring that touches or crosses itself", () => {
  const touching = [...square(0, 0, 1).slice(0, 4), ...square(0, 0, 1).slice(0, 1), [-1, 0], [-1, -1], [0, 0]];
  expect(faultsOf([touching])[0]).toContain("passes a point twice");
  const bow: Position[] = [
    [0, 0],
    [2, 2],
    [2, 0],
    [0, 3],
    [0, 0],
  ];
  expect(faultsOf([bow]).join()).toContain("meets");
});

it("finds polygons that overlap, share part of an edge, or touch between corners", () => {
  expect(faultsOf([square(0, 0, 2)], [square(1, 1, 2)]).length).toBe(1);
  expect(faultsOf([square(0, 0, 2)], [square(2, 1, 2)]).length).toBe(1);
  expect(faultsOf([square(0, 0, 2)], [square(0, 0, 2)]).length).toBe(1);
});
