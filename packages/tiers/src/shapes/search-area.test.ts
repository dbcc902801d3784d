import { describe, expect, it } from "vitest";
import type { DrawnShape } from "./drawn-shape.ts";
import { findOutlines, isInArea } from "./search-area.ts";

function square(west: number, south: number, side: number): DrawnShape {
  const [east, north] = [west + side, south + side];
  const ring = [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ];
  return { type: "Polygon", coordinates: [ring] };
}

/** Corners of the first ring of each outline, as "x,y". */
function cornersOf(outlines: number[][][][]): Set<string>[] {
  return outlines.map(([ring]) => new Set(ring.map((position) => position.join(","))));
}

describe("a place", () => {
  const area = { within: [square(0, 0, 4), square(10, 0, 4)], exclude: [square(1, 1, 1)] };
  it.each([
    [3, 3, true],
    [11, 1, true],
    [1.5, 1.5, false],
    [7, 2, false],
  ])("at %d, %d counts: %s", (lon, lat, counts) => {
    expect(isInArea({ lon, lat }, area)).toBe(counts);
  });

  it("counts without shapes, and outside excluded zones alone", () => {
    expect(isInArea({ lon: 7, lat: 2 }, { within: [], exclude: [] })).toBe(true);
    expect(isInArea({ lon: 7, lat: 2 }, { within: [], exclude: area.exclude })).toBe(true);
  });

  it("is found over the antimeridian from either side", () => {
    const circle = { circle: { lon: 179.99, lat: 0, radiusM: 5000 } };
    for (const lon of [-179.99, 179.99])
      expect(isInArea({ lon, lat: 0 }, { within: [circle], exclude: [] })).toBe(true);
    expect(isInArea({ lon: -179.9, lat: 0 }, { within: [circle], exclude: [] })).toBe(false);
  });
});

describe("outlines", () => {
  it("join squares that overlap", () => {
    const outlines = findOutlines({ within: [square(0, 0, 2), square(1, 1, 2)], exclude: [] }, 0);
    expect(cornersOf(outlines)).toEqual([new Set(["0,0", "2,0", "2,1", "3,1", "3,3", "1,3", "1,2", "0,2"])]);
  });

  it("take the excluded out of the searched, and are the excluded alone where all else counts", () => {
    const exclude = [square(1, 0, 2)];
    expect(cornersOf(findOutlines({ within: [square(0, 0, 2)], exclude }, 0))).toEqual([
      new Set(["0,0", "1,0", "1,2", "0,2"]),
    ]);
    expect(cornersOf(findOutlines({ within: [], exclude }, 0))).toEqual([new Set(["1,0", "3,0", "3,2", "1,2"])]);
    expect(findOutlines({ within: [square(1, 0, 1)], exclude }, 0)).toEqual([]);
  });
});
