import type { GeodesicLine } from "@fellmark/geodesy";
import { CLUTTER_KINDS, type ClutterMosaic, type TerrainMosaic } from "@fellmark/terrain";
import { describe, expect, it } from "vitest";
import { buildPlainRequest } from "../testing/plain-world.ts";
import { combineGround, countFineSteps, countSteps, createMastEnds, findBoxAround, walkPath } from "./ground.ts";

const [TREES, BUILDINGS] = ["trees", "buildings"].map((kind) => CLUTTER_KINDS.indexOf(kind as "trees"));
const GAP = Number.NaN;

/** Ground of these heights along any line. */
function createMosaic(heights: number[], stepM = 30): TerrainMosaic {
  const sampleHeights = (_: GeodesicLine, out: Float64Array) => {
    out.set(heights.slice(0, out.length));
    return 0;
  };
  return { sampleHeights, stepM } as unknown as TerrainMosaic;
}

/** Clutter along any line: kind, height, and whether it is measured. */
function createClutter(points: [number, number, boolean][], { stepM = 10, landCover = false } = {}): ClutterMosaic {
  return {
    stepM,
    data: { landCover: landCover ? {} : null },
    sampleLine: (_: GeodesicLine, heightM: Float64Array, kind: Uint8Array, isMeasured: Uint8Array) => {
      points.forEach(([ownKind, ownM, measured], i) => {
        kind[i] = ownKind;
        heightM[i] = ownM;
        isMeasured[i] = measured ? 1 : 0;
      });
      return 0;
    },
  } as unknown as ClutterMosaic;
}

const { model: measuredModel, cpe } = buildPlainRequest({
  model: { method: "path-clutter", clutter: { buildings: "houses", canopy: "woods" } },
});
const { model: statedModel } = buildPlainRequest();

const lineOf = (distanceM: number) => ({ distanceM, azimuthDeg: 10, backAzimuthDeg: 190 }) as GeodesicLine;

describe("the box around places", () => {
  it("reaches as far as asked and 0.03 degrees more, by the longer degrees of longitude in the north", () => {
    // 11,050 m are 0.1 degrees of latitude; at 60.13 N those 0.13 degrees are 0.13 / cos(60.13) = 0.2610 of longitude.
    const [west, south, east, north] = findBoxAround([{ lon: 10, lat: 60 }], 11_050);
    expect([south, north]).toEqual([60 - 0.13, 60 + 0.13].map((lat) => expect.closeTo(lat, 9)));
    expect(west).toBeCloseTo(10 - 0.261, 4);
    expect(east).toBeCloseTo(10 + 0.261, 4);
  });

  it("is one over 180 degrees, on the first place's turn", () => {
    const [west, , east] = findBoxAround(
      [
        { lon: 179.9, lat: 0 },
        { lon: -179.8, lat: 1 },
      ],
      1105,
    );
    expect(west).toBeCloseTo(179.9 - 0.04 / Math.cos((1.04 * Math.PI) / 180), 9);
    expect(east).toBeCloseTo(180.2 + 0.04 / Math.cos((1.04 * Math.PI) / 180), 9);
  });

  it("ends at the poles", () => {
    expect(findBoxAround([{ lon: 0, lat: 89.99 }], 1105)[3]).toBe(90);
    expect(findBoxAround([{ lon: 0, lat: -89.99 }], 1105)[1]).toBe(-90);
  });
});

describe("steps along a path", () => {
  it("are shares of the terrain's own, two at least, and 1 km where there is no raster", () => {
    const mosaic = createMosaic([], 30);
    expect(countSteps(mosaic, 300, 1)).toBe(10);
    expect(countSteps(mosaic, 301, 1)).toBe(11);
    expect(countSteps(mosaic, 300, 0.5)).toBe(20);
    expect(countSteps(mosaic, 5, 1)).toBe(2);
    expect(countSteps(createMosaic([], GAP), 5000, 0.5)).toBe(5);
  });

  it("are as fine as measured clutter, but 5 m at least", () => {
    const over = (clutter: ClutterMosaic | null) => combineGround(createMosaic([], 30), clutter);
    expect(countFineSteps(over(null), measuredModel, 300)).toBe(20);
    expect(countFineSteps(over(createClutter([])), statedModel, 300)).toBe(20);
    expect(countFineSteps(over(createClutter([])), measuredModel, 300)).toBe(30);
    expect(countFineSteps(over(createClutter([], { stepM: 1 })), measuredModel, 300)).toBe(60);
    expect(countFineSteps(over(createClutter([], { stepM: 40 })), measuredModel, 300)).toBe(20);
  });
});

describe("a path that is walked", () => {
  const heights = [100, 100, 100, 100, 100, 100, 100];
  const walk = (points: [number, number, boolean][], own: object = {}, change = {}) => {
    const ground = combineGround(createMosaic(heights), createClutter(points, change));
    return walkPath(ground, { model: measuredModel, cpe: { ...cpe, ...own } }, lineOf(300), points.length - 1);
  };

  it("is bare ground where no raster tells of clutter", () => {
    const path = walkPath(combineGround(createMosaic(heights), null), { model: measuredModel, cpe }, lineOf(300), 6);
    expect(path).toMatchObject({ cover: null, classHeightM: null, distanceM: 300, azimuthDeg: 10 });
  });

  it("is a metre long at least, so that a place on the mast can be asked", () => {
    const ground = combineGround(createMosaic(heights), null);
    expect(walkPath(ground, { model: statedModel, cpe }, lineOf(0), 2).distanceM).toBe(1);
  });

  it("is raised by what is measured between its ends", () => {
    const path = walk([
      [TREES, 9, true],
      [TREES, 12, true],
      [TREES, 7, false],
      [BUILDINGS, 5, true],
      [TREES, 8, true],
      [TREES, 0, true],
      [TREES, 20, true],
    ]);
    expect([...path.surfaceAmslM]).toEqual([100, 112, 100, 105, 108, 100, 100]);
    expect([...(path.cover?.canopyHeightM ?? [])]).toEqual([0, 12, 0, 0, 8, 0, 20]);
    expect([...(path.cover?.buildingHeightM ?? [])]).toEqual([0, 0, 0, 5, 0, 0, 0]);
  });

  it("has no part of the CPE's own house over its roof, and nothing of it beside a wall", () => {
    const house: [number, number, boolean][] = [
      [TREES, 0, true],
      [BUILDINGS, 9, true],
      [TREES, 0, true],
      [BUILDINGS, 8, true],
      [BUILDINGS, 5, true],
      [BUILDINGS, 7, true],
      [BUILDINGS, 6, true],
    ];
    expect([...walk(house, { mount: "roof" }).surfaceAmslM]).toEqual([100, 109, 100, 106, 105, 106, 100]);
    expect([...walk(house, { mount: "wall" }).surfaceAmslM]).toEqual([100, 109, 100, 100, 100, 100, 100]);
  });

  it("keeps the houses of others where there is none at the CPE", () => {
    const path = walk([
      [TREES, 0, true],
      [BUILDINGS, 9, true],
      [BUILDINGS, 8, true],
      [TREES, 0, true],
    ]);
    expect([...path.surfaceAmslM]).toEqual([100, 109, 108, 100]);
  });

  it("knows heights of land-cover classes that are not measured, 50 m and more from the ends", () => {
    // Points every 50 m: the first and last lie within 50 m of an end, those at 50 m do not.
    const points: [number, number, boolean][] = [
      [TREES, 15, false],
      [TREES, 15, false],
      [TREES, 14, true],
      [TREES, GAP, false],
      [TREES, 13, false],
      [TREES, 12, false],
      [TREES, 15, false],
    ];
    expect([...(walk(points, {}, { landCover: true }).classHeightM ?? [])]).toEqual([0, 15, 0, 0, 13, 12, 0]);
    expect(walk(points).classHeightM).toBeNull();
  });
});

describe("clutter around masts", () => {
  const request = buildPlainRequest({ model: { clutter: { class: "suburban" } } });

  it("is that of the request where no raster tells it, and of the place where one does", () => {
    const mast = request.sectors[0];
    const stated = createMastEnds(request, combineGround(createMosaic([]), null))(mast);
    expect(stated.mast).toMatchObject({ kind: "suburban" });
    const found = { kind: "trees", heightM: 11, isMeasured: true };
    const clutter = { findClutter: (lon: number) => (lon === -30.5 ? found : null) } as unknown as ClutterMosaic;
    const told = createMastEnds(request, combineGround(createMosaic([]), clutter))(mast);
    expect(told.mast).toMatchObject({ kind: "trees", heightM: 11 });
  });
});
