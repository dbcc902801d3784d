import { countWorldCells, findGeodesic, fitWindow, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { describe, expect, it } from "vitest";
import { type AreaShapes, buildAreaMask } from "./area-mask.ts";
import type { DrawnShape } from "./drawn-shape.ts";

const HERE = { lon: -31, lat: 12 };
const WINDOW = fitWindow([HERE], 3000, 12);
const NOTHING: AreaShapes = { within: [], exclude: [] };

/** A rectangle by its west, south, east and north sides. */
function rectangle(west: number, south: number, east: number, north: number): DrawnShape {
  const ring = [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ];
  return { type: "Polygon", coordinates: [ring] };
}

function maskOf(shapes: Partial<AreaShapes>, window = WINDOW) {
  return buildAreaMask(window, { ...NOTHING, ...shapes }) as Uint8Array;
}

/** Cells of a window whose centres a test accepts. */
function cellsWhere(test: (lon: number, lat: number) => boolean, { zoom, col0, row0, width, height } = WINDOW) {
  return Uint8Array.from({ length: width * height }, (_, at) => {
    const lon = toLongitudeDeg(col0 + (at % width) + 0.5, zoom);
    return Number(test(lon, toLatitudeDeg(row0 + Math.floor(at / width) + 0.5, zoom)));
  });
}

describe("the cells that shapes leave", () => {
  it("are all of them without shapes", () => {
    expect(buildAreaMask(WINDOW, NOTHING)).toBeNull();
  });

  it("are those whose centres a rectangle holds, or does not hold", () => {
    const shape = rectangle(-31.01, 11.99, -30.995, 12.02);
    const isIn = (lon: number, lat: number) => lon > -31.01 && lon < -30.995 && lat > 11.99 && lat < 12.02;
    expect(maskOf({ within: [shape] })).toEqual(cellsWhere(isIn));
    expect(maskOf({ exclude: [shape] })).toEqual(cellsWhere((lon, lat) => !isIn(lon, lat)));
  });

  it("are those within a circle's radius on the ellipsoid, to 0.01 %", () => {
    const mask = maskOf({ within: [{ circle: { ...HERE, radiusM: 2000 } }] });
    const distanceOf = (lon: number, lat: number) => findGeodesic(HERE, { lon, lat }).distanceM;
    const [surely, perhaps] = [1999.8, 2000.001].map((mostM) =>
      cellsWhere((lon, lat) => distanceOf(lon, lat) <= mostM),
    );
    expect(mask.every((value, cell) => value >= surely[cell] && value <= perhaps[cell])).toBe(true);
    expect(mask.filter(Boolean).length).toBeGreaterThan(8000);
  });

  it("leave out holes, and what is excluded from what is searched", () => {
    const [outer, inner] = [rectangle(-31.02, 11.98, -30.98, 12.02), rectangle(-31.01, 11.99, -30.99, 12.01)] as const;
    if (!("coordinates" in outer) || !("coordinates" in inner)) throw new TypeError("rectangles are polygons");
    const rings = [outer.coordinates[0], inner.coordinates[0]] as number[][][];
    const withHole = maskOf({ within: [{ type: "Polygon", coordinates: rings }] });
    expect(maskOf({ within: [outer], exclude: [inner] })).toEqual(withHole);
    expect(withHole).toEqual(
      cellsWhere((lon, lat) => {
        const off = Math.max(Math.abs(lon + 31), Math.abs(lat - 12));
        return off < 0.02 && off > 0.01;
      }),
    );
  });

  it("are the same over the antimeridian, with the polygon cut there or not, from both sides", () => {
    const window = fitWindow([{ lon: 179.995, lat: -17 }], 3000, 12);
    const cut: DrawnShape = {
      type: "MultiPolygon",
      coordinates: [rectangle(179.99, -17.01, 180, -16.99), rectangle(-180, -17.01, -179.99, -16.99)].flatMap((part) =>
        "type" in part && part.type === "Polygon" ? [part.coordinates] : [],
      ),
    };
    const whole = rectangle(179.99, -17.01, -179.99, -16.99);
    const wanted = cellsWhere((lon, lat) => lon > 179.99 && lon < 180.01 && Math.abs(lat + 17) < 0.01, window);
    expect(wanted.filter(Boolean).length).toBeGreaterThan(3000);
    for (const shape of [cut, whole]) {
      expect(maskOf({ within: [shape] }, window)).toEqual(wanted);
      const fromWest = { ...window, col0: window.col0 - countWorldCells(12) };
      expect(maskOf({ within: [shape] }, fromWest)).toEqual(wanted);
    }
  });

  it("are refused where there are none", () => {
    const elsewhere = rectangle(10, 10, 11, 11);
    expect(() => maskOf({ within: [elsewhere] })).toThrow("/area/within: the shapes leave no cell");
    expect(() => maskOf({ exclude: [rectangle(-40, 0, -20, 20)] })).toThrow("/area/exclude: the shapes leave no cell");
  });
});
