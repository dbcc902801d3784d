import { toLatitudeDeg } from "@fellmark/geodesy";
import { InputError } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { estimateCost, findWindow, findZoom, MAX_CELLS, MAX_SECTOR_CELLS, MAX_WINDOW_CELLS } from "./cost.ts";
import { coverageRequestSchema } from "./coverage-request.ts";
import { parseCoverageRequest } from "./parse-request.ts";
import { changeExample, createExampleRequest } from "./testing/example-request.ts";

const example = coverageRequestSchema.parse(createExampleRequest());

/** Limits of cost that a request breaks. */
function limitsBroken(body: unknown): unknown[] {
  try {
    parseCoverageRequest(body);
    return [];
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    expect(error.problems.every(({ pointer }) => pointer === "/area")).toBe(true);
    return error.problems.map(({ limit }) => limit);
  }
}

/** The example with a number of sectors on its one mast. */
function withSectors(count: number, radiusM: number): Record<string, unknown> {
  const sectors = Array.from({ length: count }, (_, index) => ({ ...example.sectors[0], id: `s${index}` }));
  return changeExample({ "/sectors": sectors, "/area": { radiusM, zoom: 13 } });
}

describe("cost (F27)", () => {
  // The cell at zoom 13 and latitude 40.7763 is 156543.034 cos(lat) / 2^13 = 14.4706 m (MODEL, decision 1).
  const CELL_M = 14.4706;
  const radiusOfCells = (cells: number) => CELL_M * Math.sqrt(cells / Math.PI);

  it("is refused where the cells to sweep pass their limit, and not a metre before", () => {
    const radiusM = radiusOfCells(MAX_CELLS);
    expect(limitsBroken(withSectors(1, radiusM - 1))).toEqual([]);
    expect(limitsBroken(withSectors(1, radiusM + 1))).toEqual([MAX_CELLS]);
  });

  it("counts the sectors of a mast in the layers, not in the sweep", () => {
    const radiusM = radiusOfCells(MAX_SECTOR_CELLS / 12);
    expect(limitsBroken(withSectors(12, radiusM - 1))).toEqual([]);
    expect(limitsBroken(withSectors(12, radiusM + 1))).toEqual([MAX_SECTOR_CELLS]);
    expect(estimateCost(coverageRequestSchema.parse(withSectors(12, 1000))).sweptCells).toBeCloseTo(
      estimateCost(coverageRequestSchema.parse(withSectors(1, 1000))).sweptCells,
    );
  });

  it("counts the window around all sites, to the row", () => {
    const apart = (lat: number) =>
      changeExample({
        "/area": { radiusM: 1000, zoom: 12 },
        "/sites": [
          { id: "s1", lon: 0, lat: 0 },
          { id: "s2", lon: 3, lat },
        ],
      });
    const cellsAt = (lat: number) => {
      const { width, height } = findWindow(coverageRequestSchema.parse(apart(lat)));
      return width * height;
    };
    const equatorRow = 2 ** 19;
    let rows = Math.ceil(MAX_WINDOW_CELLS / findWindow(coverageRequestSchema.parse(apart(0))).width);
    while (cellsAt(toLatitudeDeg(equatorRow - rows, 12)) > MAX_WINDOW_CELLS) rows--;
    expect(limitsBroken(apart(toLatitudeDeg(equatorRow - rows, 12)))).toEqual([]);
    expect(limitsBroken(apart(toLatitudeDeg(equatorRow - rows - 1, 12)))).toEqual([MAX_WINDOW_CELLS]);
  });

  it("refuses 500 km at 1 m by its fields, and what they allow at most by its cost", () => {
    expect(() => parseCoverageRequest(changeExample({ "/area": { radiusM: 500_000, cellM: 1 } }))).toThrow(InputError);
    expect(limitsBroken(changeExample({ "/area": { radiusM: 60_000, cellM: 2 } }))).toContain(MAX_CELLS);
  });
});

describe("the zoom", () => {
  it.each([
    [0, 38.2, 12],
    [45, 27, 12],
    [45, 13.5, 13],
    [45, 6.8, 14],
    [60, 30, 11],
  ])("at latitude %d for cells of %d m is %i", (lat, cellM, zoom) => {
    expect(findZoom({ ...example, sites: [{ id: "s1", lon: 0, lat }], area: { radiusM: 1000, cellM } })).toBe(zoom);
  });

  it("is the one asked for, or that of 30 m", () => {
    expect(findZoom({ ...example, area: { radiusM: 1000, zoom: 9 } })).toBe(9);
    expect(findZoom({ ...example, area: { radiusM: 1000 } })).toBe(12);
  });
});
