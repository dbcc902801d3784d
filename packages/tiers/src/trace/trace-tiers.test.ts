import { countWorldCells, type LatticeWindow, toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import fc from "fast-check";
import type { Position } from "geojson";
import { describe, expect, it } from "vitest";
import { listPolygons } from "../geojson.ts";
import { rasteriseTiers } from "../testing/classes-of-tiers.ts";
import { findGeometryFaults } from "../testing/geometry-faults.ts";
import { TIER_CLASS } from "../tier-class.ts";
import { type TierCollection, type TierFeature, type TraceSettings, traceTiers } from "./trace-tiers.ts";

const PLANS = [
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p25", downMbps: 25, upMbps: 5 },
  { id: "p10", downMbps: 10, upMbps: 1 },
];
const PLAN_IDS = PLANS.map((plan) => plan.id);
const EXACT: TraceSettings = { speckAreaM2: 0, simplifyCells: 0 };
const CODES: Record<string, number> = { ".": TIER_CLASS.noService, "?": TIER_CLASS.notKnown, " ": TIER_CLASS.outside };

/** A raster drawn by hand, one character a cell, somewhere in the middle latitudes. */
function drawn(...rows: string[]): { window: LatticeWindow; classes: Uint8Array } {
  const window = { zoom: 12, col0: 300_000, row0: 380_000, width: rows[0].length, height: rows.length };
  return { window, classes: Uint8Array.from(rows.join(""), (code) => CODES[code] ?? Number(code)) };
}

/** Polygons of a feature with their corners as "x,y" in cells from the window's corner, from the least one round. */
function cornersOf(feature: TierFeature | undefined, window: LatticeWindow): string[][][] {
  if (!feature) return [];
  const corner = ([lon, lat]: Position) => {
    const x = toLatticeColumn(lon, window.zoom) - window.col0;
    const y = toLatticeRow(lat, window.zoom) - window.row0;
    return `${Math.round(x)},${Math.round(y)}`;
  };
  return listPolygons(feature.geometry).map((rings) => rings.map((ring) => fromLeast(ring.slice(1).map(corner))));
}

function fromLeast(corners: string[]): string[] {
  const least = corners.indexOf([...corners].sort()[0]);
  return [...corners.slice(least), ...corners.slice(0, least + 1)];
}

describe("rings written by hand", () => {
  it("traces one cell anticlockwise", () => {
    const { window, classes } = drawn("...", ".1.", "...");
    const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
    expect(cornersOf(features[0], window)).toEqual([[["1,1", "1,2", "2,2", "2,1", "1,1"]]]);
  });

  it("nests a hole in a ring, and a polygon in the hole", () => {
    const { window, classes } = drawn(
      "..........",
      ".11111111.",
      ".1......1.",
      ".1.2222.1.",
      ".1.2112.1.",
      ".1.2112.1.",
      ".1.2222.1.",
      ".1......1.",
      ".11111111.",
      "..........",
    );
    const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
    expect(features.map((feature) => feature.properties.plan)).toEqual(["p100", "p25"]);
    expect(cornersOf(features[0], window)).toEqual([
      [
        ["1,1", "1,9", "9,9", "9,1", "1,1"],
        ["2,2", "8,2", "8,8", "2,8", "2,2"],
      ],
      [["4,4", "4,6", "6,6", "6,4", "4,4"]],
    ]);
    expect(cornersOf(features[1], window)).toEqual([
      [
        ["3,3", "3,7", "7,7", "7,3", "3,3"],
        ["4,4", "6,4", "6,6", "4,6", "4,4"],
      ],
    ]);
  });

  it("keeps cells apart that meet only over a corner", () => {
    const { window, classes } = drawn("1.", ".1");
    const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
    expect(cornersOf(features[0], window)).toEqual([
      [["0,0", "0,1", "1,1", "1,0", "0,0"]],
      [["1,1", "1,2", "2,2", "2,1", "1,1"]],
    ]);
  });

  it("lets a hole touch its outer ring in a point", () => {
    const { window, classes } = drawn("111.", "1.11", "1111");
    const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
    const [rings] = cornersOf(features[0], window);
    expect(rings.map((ring) => new Set(ring))).toEqual([
      new Set(["0,0", "0,3", "4,3", "4,1", "3,1", "3,0"]),
      new Set(["1,1", "2,1", "2,2", "1,2"]),
    ]);
    expect(findGeometryFaults({ features })).toEqual([]);
  });

  it("makes one rectangle of one class, and nothing of none", () => {
    const full = drawn("33", "33");
    const { collection } = traceTiers(full.window, full.classes, { plans: PLANS, ...EXACT });
    expect(cornersOf(collection.features[0], full.window)).toEqual([[["0,0", "0,2", "2,2", "2,0", "0,0"]]]);
    expect(collection.features[0].properties).toMatchObject({ plan: "p10", downMbps: 10, upMbps: 1, share: 1 });
    const empty = drawn("..", " .");
    const nothing = traceTiers(empty.window, empty.classes, { plans: PLANS, ...EXACT }).collection;
    expect(nothing).toEqual({ type: "FeatureCollection", features: [] });
  });

  it("tells plans, plans to be surveyed and what is not known apart", () => {
    const { window, classes } = drawn("1144??", "1144??");
    const { collection } = traceTiers(window, classes, { plans: PLANS, ...EXACT });
    const share = 1 / 3;
    expect(collection.features.map(({ properties }) => properties)).toMatchObject([
      { class: "plan", plan: "p100", downMbps: 100, share },
      { class: "survey-first", plan: "p100", downMbps: 100, share },
      { class: "not-known", plan: null, downMbps: null, share },
    ]);
    expect(cornersOf(collection.features[2], window)).toEqual([[["4,0", "4,2", "6,2", "6,0", "4,0"]]]);
  });

  it("shares the area by its cells, those outside left out", () => {
    const { window, classes } = drawn("11.? ");
    const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
    expect(features[0].properties.share).toBe(0.5);
  });
});

describe("a simplified border", () => {
  it("cuts the corners of the better plan alone", () => {
    const { window, classes } = drawn(
      "122222222222",
      "112222222222",
      "111222222222",
      "111122222222",
      "111112222222",
      "111111222222",
      "111111122222",
      "111111112222",
    );
    const { features } = traceTiers(window, classes, { plans: PLANS, speckAreaM2: 0, simplifyCells: 1 }).collection;
    expect(cornersOf(features[0], window)).toEqual([[["0,0", "0,8", "8,8", "1,1", "1,0", "0,0"]]]);
  });
});

describe("a window over the antimeridian", () => {
  const world = countWorldCells(12);
  const { classes } = drawn("..........", ".11111111.", ".11211211.", "..........");
  const window = { zoom: 12, col0: world - 4, row0: 380_000, width: 10, height: 4 };

  it.each([EXACT, { speckAreaM2: 0, simplifyCells: 1 }])("is cut in two at 180 degrees, %o", (settings) => {
    const { collection } = traceTiers(window, classes, { plans: PLANS, ...settings });
    expect(findGeometryFaults(collection)).toEqual([]);
    expect(rasteriseTiers(window, collection, PLAN_IDS)).toEqual(classes);
    const longitudes = collection.features[0].geometry.coordinates.flat(3).filter((value) => Math.abs(value) > 90);
    expect([Math.max(...longitudes), Math.min(...longitudes)]).toEqual([180, -180]);
    const [west, , east] = collection.bbox as number[];
    expect(west).toBeGreaterThan(179.9);
    expect(east).toBeLessThan(-179.9);
  });

  it("covers the same ground from the other side of the world", () => {
    const options = { plans: PLANS, ...EXACT };
    const here = traceTiers(window, classes, options).collection.features;
    const fromWest = traceTiers({ ...window, col0: window.col0 - world }, classes, options).collection.features;
    const inland = traceTiers({ ...window, col0: 0 }, classes, options).collection.features;
    expect(fromWest).toEqual(here);
    expect(here.map((feature) => feature.properties)).toEqual(inland.map((feature) => feature.properties));
  });
});

/** Small rasters of every class, coarse or fine, that lie inland or over the antimeridian. */
const anyRaster = fc
  .record({
    width: fc.integer({ min: 1, max: 12 }),
    height: fc.integer({ min: 1, max: 12 }),
    zoom: fc.integer({ min: 6, max: 15 }),
    block: fc.integer({ min: 1, max: 3 }),
    atEdge: fc.boolean(),
    codes: fc.array(fc.constantFrom(0, 1, 2, 3, 5, 6, 254, 255), { minLength: 144, maxLength: 144 }),
  })
  .map(({ width, height, zoom, block, atEdge, codes }) => {
    const world = countWorldCells(zoom);
    const col0 = atEdge ? world - Math.ceil(width / 2) : Math.floor(world / 3);
    const classes = Uint8Array.from({ length: width * height }, (_, at) => {
      const [x, y] = [at % width, Math.floor(at / width)];
      return codes[12 * Math.floor(y / block) + Math.floor(x / block)];
    });
    return { window: { zoom, col0, row0: Math.floor(world / 3), width, height }, classes };
  });

/** Places along one side of a cell at which polygons are asked for their class; shifted off all corners and centres. */
const PLACES = 8;
const SHIFT = { column: 0.137, row: 0.291 };

function classesAtPlaces({ zoom, col0, row0, width, height }: LatticeWindow, collection: TierCollection): Uint8Array {
  const fine = {
    zoom: zoom + Math.log2(PLACES),
    col0: PLACES * col0 + SHIFT.column,
    row0: PLACES * row0 + SHIFT.row,
    width: PLACES * width,
    height: PLACES * height,
  };
  return rasteriseTiers(fine, collection, PLAN_IDS);
}

/** Places that the polygons give a better plan than the raster does. */
function countPromoted(
  { window, classes }: { window: LatticeWindow; classes: Uint8Array },
  places: Uint8Array,
): number {
  const width = PLACES * window.width;
  return places.filter((drawn, at) => {
    const row = Math.floor((Math.floor(at / width) + 0.5 + SHIFT.row) / PLACES);
    const column = Math.floor(((at % width) + 0.5 + SHIFT.column) / PLACES);
    const wanted = classes[row * window.width + column];
    const isPlan = drawn !== 0 && drawn !== TIER_CLASS.notKnown;
    return isPlan && (wanted === TIER_CLASS.noService || wanted > drawn);
  }).length;
}

const SEEDED = { seed: 7, numRuns: 200 };

describe("any raster", () => {
  it("is reproduced cell for cell, in valid polygons", () => {
    const check = fc.property(anyRaster, ({ window, classes }) => {
      const { collection } = traceTiers(window, classes, { plans: PLANS, ...EXACT });
      expect(findGeometryFaults(collection)).toEqual([]);
      const wanted = classes.map((tier) => (tier === TIER_CLASS.outside ? 0 : tier));
      expect(rasteriseTiers(window, collection, PLAN_IDS)).toEqual(wanted);
    });
    fc.assert(check, SEEDED);
  });

  it("stays valid however far it is simplified", () => {
    const check = fc.property(anyRaster, fc.double({ min: 0.1, max: 16, noNaN: true }), (raster, simplifyCells) => {
      const { window, classes } = raster;
      const options = { plans: PLANS, speckAreaM2: 0, simplifyCells };
      const { collection } = traceTiers(window, classes, options);
      expect(findGeometryFaults(collection)).toEqual([]);
      expect(() => rasteriseTiers(window, collection, PLAN_IDS)).not.toThrow();
      const plansFrom = (before: number) => PLAN_IDS.filter((_, index) => classes.includes(before + index + 1));
      const wanted = [...plansFrom(0), ...plansFrom(3), ...(classes.includes(TIER_CLASS.notKnown) ? [null] : [])];
      expect(collection.features.map((feature) => feature.properties.plan)).toEqual(wanted);
    });
    fc.assert(check, SEEDED);
  });

  it("never promises more than the raster at any place, however far it is simplified", () => {
    const check = fc.property(anyRaster, fc.double({ min: 0.1, max: 16, noNaN: true }), (raster, simplifyCells) => {
      const { window, classes } = raster;
      const { collection } = traceTiers(window, classes, { plans: PLANS, speckAreaM2: 0, simplifyCells });
      expect(countPromoted(raster, classesAtPlaces(window, collection))).toBe(0);
    });
    fc.assert(check, SEEDED);
  });

  it("has the areas and shares of its plans", () => {
    const check = fc.property(anyRaster, ({ window, classes }) => {
      const { features } = traceTiers(window, classes, { plans: PLANS, ...EXACT }).collection;
      const inPlans = classes.filter((tier) => (tier >= 1 && tier <= 6) || tier === TIER_CLASS.notKnown).length;
      const inArea = classes.filter((tier) => tier !== TIER_CLASS.outside).length;
      const share = features.reduce((sum, feature) => sum + feature.properties.share, 0);
      expect(share).toBeCloseTo(inArea === 0 ? 0 : inPlans / inArea, 12);
    });
    fc.assert(check, SEEDED);
  });
});

describe("bad input", () => {
  const { window, classes } = drawn("12", "5.");

  it("refuses a raster of another size, and a class without a plan", () => {
    expect(() => traceTiers({ ...window, width: 3 }, classes, { plans: PLANS, ...EXACT })).toThrow("has 6 cells");
    expect(() => traceTiers(window, classes, { plans: PLANS.slice(0, 2), ...EXACT })).toThrow("class 5 is none of 2");
  });
});
