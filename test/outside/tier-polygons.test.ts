import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Engine } from "@fellmark/coverage";
import { type LonLat, toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import { parseCoverageRequest } from "@fellmark/network";
import { openCatalogue } from "@fellmark/terrain";
import { createSeededRandom, needsShared, sharedDir } from "@fellmark/testkit";
import { rasteriseTiers, TIER_CLASS, type TierCollection, TRACE_DEFAULTS, traceTiers } from "@fellmark/tiers";
import * as turf from "@turf/turf";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Covered, cover, createEngine } from "./covered.ts";

/** Two masts among the premises of ../shared/terrain/companions ("VT Enhanced 911 Board, VCGI"; counts only). */
const MASTS = [
  { id: "north", lon: -71.8117, lat: 44.4808 },
  { id: "south", lon: -71.7717, lat: 44.4608 },
];

const PLANS = [
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p25", downMbps: 25, upMbps: 5 },
  { id: "p10", downMbps: 10, upMbps: 2 },
];
const PLAN_IDS = PLANS.map(({ id }) => id);

function request() {
  const sector = { antenna: "panel", radio: "r", heightAglM: 60, powerDbm: 27, downtiltDeg: 1 };
  const channels = [5600, 5640];
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 12_000, zoom: 12 },
    quality: "preview",
    model: { clutter: { class: "open" }, confidence: 0.5, availability: 0.9 },
    sites: MASTS,
    antennas: [
      { id: "panel", kind: "tr38901" },
      { id: "dish", kind: "isotropic", gainDbi: 20 },
    ],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: MASTS.flatMap(({ id }, mast) =>
      [0, 120, 240].map((azimuthDeg) => ({
        ...{ ...sector, id: `${id}-${azimuthDeg}`, site: id, azimuthDeg },
        channel: { centreMhz: channels[mast] + 80 * (azimuthDeg / 120), widthMhz: 20 },
      })),
    ),
    cpe: { heightAglM: 9, antenna: "dish", radio: "r", powerDbm: 27 },
    plans: PLANS,
    outputs: [],
  });
}

function readPremises(): LonLat[] {
  const text = readFileSync(join(sharedDir, "terrain/companions/premises_points_N44W072.csv"), "utf8");
  const rows = text.trim().split("\n").slice(1);
  return rows.map((row) => row.split(",").map(Number)).map(([lon, lat]) => ({ lon, lat }));
}

type Polygons = ReturnType<typeof turf.polygon>[];

/** Turf, which shares no code with the tracer, as the judge of real polygons. */
describe.skipIf(!needsShared())("the published polygons of a real area", () => {
  let engine: Engine;
  let covered: Covered;
  let published: TierCollection;
  let exact: TierCollection;
  beforeAll(async () => {
    engine = createEngine();
    covered = await cover(engine, await openCatalogue(join(sharedDir, "terrain/dem")), request());
    const trace = (settings: object) =>
      traceTiers(covered.window, covered.tier, { plans: PLANS, ...TRACE_DEFAULTS, ...settings }).collection;
    published = trace({});
    exact = trace({ speckAreaM2: 0, simplifyCells: 0 });
  });
  afterAll(() => engine.pool.close());

  /** The class of the cell under a place, 0 without a plan. */
  const cellClass = ({ lon, lat }: LonLat) => {
    const { zoom, col0, row0, width, height } = covered.window;
    const column = Math.floor(toLatticeColumn(lon, zoom)) - col0;
    const row = Math.floor(toLatticeRow(lat, zoom)) - row0;
    const isInWindow = column >= 0 && column < width && row >= 0 && row < height;
    const tier = isInWindow ? covered.tier[row * width + column] : TIER_CLASS.outside;
    return tier > PLANS.length ? 0 : tier;
  };

  const polygonClass = (collection: TierCollection, { lon, lat }: LonLat) => {
    const found = collection.features.find((feature) => turf.booleanPointInPolygon([lon, lat], feature));
    return PLAN_IDS.indexOf(found?.properties.plan ?? "") + 1;
  };

  const polygonsOf = (collection: TierCollection): Polygons =>
    turf.flatten(collection).features.map(({ geometry }) => turf.polygon(geometry.coordinates as number[][][]));

  it("have every plan", () => {
    expect(published.features.flatMap(({ properties }) => properties.plan ?? [])).toEqual(PLAN_IDS);
  });

  it("give no premises a better plan than its cell has, and no cell centre", () => {
    const counts = { premises: 0, served: 0, worse: 0, better: 0 };
    for (const place of readPremises()) {
      const [inCell, inPolygon] = [cellClass(place), polygonClass(published, place)];
      counts.premises++;
      if (inCell > 0) counts.served++;
      if (inPolygon !== 0 && (inCell === 0 || inPolygon < inCell)) counts.better++;
      if (inCell !== 0 && (inPolygon === 0 || inPolygon > inCell)) counts.worse++;
    }
    console.info(`${JSON.stringify(counts)} in the polygons against the cells`);
    expect(counts.better).toBe(0);
    expect(counts.premises).toBe(3804);
    expect(counts.served).toBeGreaterThan(500);
    expect(counts.worse).toBeLessThan(0.02 * counts.served);
    const drawn = rasteriseTiers(covered.window, published, PLAN_IDS);
    const promoted = drawn.filter(
      (tier, cell) => tier !== 0 && (covered.tier[cell] === 0 || tier < covered.tier[cell]),
    );
    expect(promoted.length).toBe(0);
  });

  it("hold the places that the cells hold, where nothing is simplified", () => {
    const random = createSeededRandom(1);
    const [west, south, east, north] = exact.bbox as [number, number, number, number];
    for (let drawn = 0; drawn < 1000; drawn++) {
      const place = { lon: west + random() * (east - west), lat: south + random() * (north - south) };
      expect(polygonClass(exact, place)).toBe(cellClass(place));
    }
  });

  it("have the areas of their cells, to what a sphere differs from the ellipsoid", () => {
    for (const feature of exact.features) {
      const ratio = turf.area(feature) / 1e6 / feature.properties.areaKm2;
      expect(Math.abs(ratio - 1)).toBeLessThan(0.008);
    }
  });

  it("overlap nowhere: what tiers have together is the sum of what they have", () => {
    const piece = pieceOf(published);
    const summed = piece.reduce((sum, feature) => sum + turf.area(feature), 0);
    const united = turf.union(turf.featureCollection(piece));
    expect(piece.length).toBeGreaterThan(1);
    expect(turf.area(united as (typeof piece)[number]) / summed).toBeCloseTo(1, 6);
    for (const [index, one] of piece.entries()) {
      for (const other of piece.slice(index + 1)) {
        const shared = turf.intersect(turf.featureCollection([one, other]));
        expect(shared === null ? 0 : turf.area(shared)).toBeLessThan(1);
      }
    }
  });

  it("are valid, and cross themselves nowhere", () => {
    const polygons = polygonsOf(published).filter((polygon) => turf.coordAll(polygon).length < 500);
    expect(polygons.length).toBeGreaterThan(20);
    for (const polygon of polygons) {
      // Ring by ring: a hole may touch its outer ring in a point, which turf calls a kink.
      for (const ring of polygon.geometry.coordinates) expect(turf.kinks(turf.polygon([ring])).features).toEqual([]);
      expect(turf.booleanValid(polygon)).toBe(true);
    }
  });

  it("lie in the box that they state", () => {
    expect(published.bbox).toEqual(turf.bbox({ ...published, bbox: undefined } as TierCollection));
    const [west, south, east, north] = published.bbox as [number, number, number, number];
    for (const feature of published.features) {
      const clipped = turf.bboxClip(feature, [west, south, east, north]);
      expect(turf.area(clipped) / turf.area(feature)).toBeCloseTo(1, 9);
    }
  });
});

/** The tiers within two kilometres of the first mast. */
function pieceOf(collection: TierCollection) {
  const disc = turf.circle([MASTS[0].lon, MASTS[0].lat], 2, { units: "kilometers" });
  return collection.features.flatMap((feature) => {
    const part = turf.intersect(turf.featureCollection([turf.feature(feature.geometry), disc]));
    return part === null ? [] : [part];
  });
}
