import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { createSeededRandom, createTempDir, needsOsgeo, PYTHON } from "@fellmark/testkit";
import type { Polygon, Position } from "geojson";
import { describe, expect, it } from "vitest";
import { findOutlines, isInArea } from "./search-area.ts";

/** Areas of union and difference in square degrees, and whether the place lies in the difference. */
const ASK_OGR = `
import json, sys
from osgeo import ogr
ogr.UseExceptions()
answers = []
for case in json.load(open(sys.argv[1])):
    one, other = (ogr.CreateGeometryFromJson(json.dumps(case[name])) for name in ("one", "other"))
    place = ogr.Geometry(ogr.wkbPoint)
    place.AddPoint_2D(*case["place"])
    left = one.Difference(other)
    answers.append([one.Union(other).GetArea(), left.GetArea(), place.Within(left)])
print(json.dumps(answers))
`;

const CASES = 1000;
const random = createSeededRandom(1000);

/** A star of 3 to 30 corners about a centre; every third has a hole. */
function randomPolygon(): Polygon {
  const corners = 3 + Math.floor(28 * random());
  const [lon, lat] = [10 + random(), 50 + random()];
  const radii = Array.from({ length: corners }, () => 0.2 + 0.6 * random());
  const ringOf = (scale: number): Position[] => {
    const ring = radii.map((radius, corner) => {
      const angle = (2 * Math.PI * corner) / corners;
      return [lon + scale * radius * Math.cos(angle), lat + scale * radius * Math.sin(angle)];
    });
    return [...ring, ring[0]];
  };
  const hole = random() < 1 / 3 ? [ringOf(0.4).reverse()] : [];
  return { type: "Polygon", coordinates: [ringOf(1), ...hole] };
}

function planarArea(outlines: Position[][][]): number {
  const ringArea = (ring: Position[]) =>
    ring.slice(1).reduce((sum, [x, y], at) => sum + ring[at][0] * y - x * ring[at][1], 0) / 2;
  return outlines.reduce((sum, [outer, ...holes]) => {
    return sum + Math.abs(ringArea(outer)) - holes.reduce((part, hole) => part + Math.abs(ringArea(hole)), 0);
  }, 0);
}

describe.skipIf(!needsOsgeo())("a thousand pairs of random shapes", () => {
  it("have the unions, differences and insides that OGR finds", () => {
    const cases = Array.from({ length: CASES }, () => ({
      one: randomPolygon(),
      other: randomPolygon(),
      place: [10 + random(), 50 + random()],
    }));
    const dir = createTempDir();
    const path = join(dir.path, "cases.json");
    writeFileSync(path, JSON.stringify(cases));
    const answers: [number, number, boolean][] = JSON.parse(
      execFileSync(PYTHON, ["-c", ASK_OGR, path], { encoding: "utf8" }),
    );
    dir.remove();
    let worst = 0;
    for (const [index, { one, other, place }] of cases.entries()) {
      const [unionArea, leftArea, isInside] = answers[index];
      const united = planarArea(findOutlines({ within: [one, other], exclude: [] }, 10));
      const left = planarArea(findOutlines({ within: [one], exclude: [other] }, 10));
      worst = Math.max(worst, Math.abs(united - unionArea), Math.abs(left - leftArea));
      const [lon, lat] = place;
      expect(isInArea({ lon, lat }, { within: [one], exclude: [other] })).toBe(isInside);
    }
    console.info(
      `${CASES} pairs of shapes: areas differ from OGR's by ${worst.toExponential(1)} square degrees at most`,
    );
    expect(worst).toBeLessThan(1e-9);
    expect(answers.filter(([, , isInside]) => isInside).length).toBeGreaterThan(100);
  });
});
