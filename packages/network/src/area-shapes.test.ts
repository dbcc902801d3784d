import type { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { type AreaShapes, areaShapesSchema, findShapeProblems } from "./area-shapes.ts";
import { parseBody } from "./field-problems.ts";

function polygon(...ring: number[][]): AreaShapes {
  return { type: "Polygon", coordinates: [ring] };
}

const SQUARE = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
  [0, 0],
];

function problemsOf(shapes: AreaShapes) {
  return findShapeProblems({ within: shapes });
}

describe("shapes of an area", () => {
  it("may be polygons, circles and lists of both", () => {
    const circle = { circle: { lon: 1, lat: 2, radiusM: 500 } };
    const shapes = [circle, polygon(...SQUARE), { type: "MultiPolygon", coordinates: [[SQUARE], [SQUARE]] }];
    for (const value of [circle, shapes]) expect(parseBody(areaShapesSchema, value)).toEqual(value);
    expect(problemsOf(shapes as AreaShapes)).toEqual([]);
  });

  it("may run over the antimeridian", () => {
    expect(problemsOf(polygon([179, 0], [-179, 0], [-179, 1], [179, 1], [179, 0]))).toEqual([]);
  });

  it.each([
    ["a ring that is not closed", polygon(...SQUARE.slice(0, 4)), "", "not closed"],
    ["a longitude beyond the world", polygon([0, 0], [181, 0], [1, 1], [0, 0]), "/1/0", "longitude 181"],
    ["a latitude beyond the map", polygon([0, 0], [1, 0], [1, 86], [0, 0]), "/2/1", "latitude 86"],
    ["a ring like a bow", polygon([0, 0], [1, 1], [1, 0], [0, 1], [0, 0]), "", "after positions 0 and 2 cross"],
    ["a ring that touches itself", polygon([0, 0], [2, 0], [1, 1], [2, 2], [0, 2], [1, 1], [0, 0]), "", "meets itself"],
    ["a ring that runs back on itself", polygon([0, 0], [2, 0], [1, 0], [1, 1], [0, 0]), "", "meets itself"],
    ["a ring round half the world", polygon([-80, 0], [80, 0], [0, 50], [-80, 0]), "", "spans 160 degrees"],
  ])("are refused with the place of the fault: %s", (_, shapes, below, detail) => {
    const [problem] = problemsOf(shapes);
    expect(problem.pointer).toBe(`/area/within/coordinates/0${below}`);
    expect(problem.detail).toContain(detail);
  });

  it("are refused beyond 2,000 positions in all", () => {
    const corners = Array.from({ length: 1500 }, (_, at) => [Math.cos(at / 240), Math.sin(at / 240)]);
    const ring = [...corners, corners[0]];
    expect(problemsOf(polygon(...ring))).toEqual([]);
    expect(problemsOf([polygon(...ring), polygon(...ring)] as AreaShapes)[0]).toMatchObject({ limit: 2000 });
  });

  it("are refused by name where the form is another", () => {
    const refused = (value: unknown) => {
      try {
        parseBody(areaShapesSchema, value);
      } catch (error) {
        return (error as InputError).message;
      }
    };
    expect(refused({ circle: { lon: 1, lat: 2, radiusM: 0 } })).toContain("/circle/radiusM");
    expect(refused({ type: "Polygon", coordinates: [SQUARE.slice(0, 3)] })).toContain("/coordinates/0");
    expect(refused({ type: "Point", coordinates: [1, 2] })).toContain("/type");
  });
});
