import {
  createRowFrame,
  findGeodesic,
  fitWindow,
  toLatitudeDeg,
  toLatticeRow,
  toLongitudeDeg,
} from "@fellmark/geodesy";
import { CELL_CLASS, createLossRasters } from "@fellmark/sweep";
import { describe, expect, it } from "vitest";
import type { LossLayer, MastLayer } from "./layer-job.ts";
import { createRowPaths, fillRowPaths, markServiceDisc } from "./row-paths.ts";

/** Far north, where meridians turn by 0.6 degrees over 36 km. */
const MAST = { lon: -30, lat: 60 };
const WINDOW = fitWindow([MAST], 40_000, 7);
const rows = createRowFrame(MAST, toLatticeRow(MAST.lat, WINDOW.zoom), WINDOW);

function createLayer(change: Partial<LossLayer> = {}, shrink = 0): LossLayer {
  const window = { ...WINDOW, width: WINDOW.width >> shrink, height: WINDOW.height >> shrink };
  const rasters = createLossRasters(window);
  rasters.cellClass.fill(CELL_CLASS.clear);
  rasters.excessDb.fill(3);
  for (let cell = 0; cell < rasters.cellClass.length; cell++) rasters.raysCdeg.set([-100, 250], 2 * cell);
  return { rasters, window, shift: shrink, columnOffset: 0, rowOffset: 0, ...change };
}

function createMast(change: Partial<MastLayer> = {}): MastLayer {
  const mast = {
    ...{ rows, gasDbPerKm: 0, clutterGain: null, statisticalDb: null, calibrationDb: null, serviceKm: 20 },
    ...{ near: createLayer(), far: null, ...change },
  };
  return mast as unknown as MastLayer;
}

function fill(mast: MastLayer, row: number, inArea = new Uint8Array(WINDOW.width).fill(1)) {
  const paths = createRowPaths(WINDOW.width);
  fillRowPaths(mast, row, inArea, new Uint16Array(WINDOW.width), paths);
  return paths;
}

const middleRow = Math.floor(rows.originRow);

describe("directions of the paths of a row", () => {
  it.each([0, 3, middleRow, WINDOW.height - 1])("are those of the geodesic at both ends: row %i", (row) => {
    const paths = fill(createMast(), row);
    const lat = toLatitudeDeg(WINDOW.row0 + row + 0.5, WINDOW.zoom);
    for (let column = 0; column < WINDOW.width; column++) {
      const at = { lon: toLongitudeDeg(WINDOW.col0 + column + 0.5, WINDOW.zoom), lat };
      const { azimuthDeg, backAzimuthDeg, distanceM } = findGeodesic(MAST, at);
      const bearing = (east: number, north: number) => (Math.atan2(east, north) * 180) / Math.PI;
      const offDeg = (a: number, b: number | null) => Math.abs(((a - (b ?? 0) + 900) % 360) - 180);
      expect(Math.abs(paths.distanceKm[column] - distanceM / 1000)).toBeLessThan(0.002);
      if (distanceM < 2000) continue;
      expect(offDeg(bearing(paths.outEast[column], paths.outNorth[column]), azimuthDeg)).toBeLessThan(0.02);
      expect(offDeg(bearing(paths.backEast[column], paths.backNorth[column]), backAzimuthDeg)).toBeLessThan(0.02);
    }
  });

  it("rise by the ray at the mast and at the CPE: 1 degree down and 2.5 up", () => {
    const paths = fill(createMast(), middleRow);
    const sine = (deg: number) => Math.sin((deg * Math.PI) / 180);
    expect(paths.outUp[2]).toBeCloseTo(sine(-1), 6);
    expect(paths.backUp[2]).toBeCloseTo(sine(2.5), 6);
    expect(paths.outEast[2] ** 2 + paths.outNorth[2] ** 2 + paths.outUp[2] ** 2).toBeCloseTo(1, 5);
    expect(paths.backEast[2] ** 2 + paths.backNorth[2] ** 2 + paths.backUp[2] ** 2).toBeCloseTo(1, 5);
  });
});

describe("loss of the paths of a row", () => {
  it("is that of the near lattice over the distance, gas and clutter included", () => {
    const gasDbPerKm = 0.5;
    const clutterGain = new Float64Array(65_536).fill(0.5);
    const paths = fill(createMast({ gasDbPerKm, clutterGain }), middleRow);
    const km = paths.distanceKm[4];
    expect(paths.beyondDb[4]).toBe(3);
    expect(-10 * Math.log10(paths.pathGain[4])).toBeCloseTo(20 * Math.log10(km) + 3 + 0.5 * km + 3.0103, 3);
  });

  it("is that of the far lattice where the near one does not answer, and none where neither does", () => {
    const near = createLayer();
    const row = middleRow * WINDOW.width;
    near.rasters.cellClass.fill(CELL_CLASS.outside, row, row + 4);
    const far = createLayer({}, 1);
    far.rasters.excessDb.fill(7);
    far.rasters.cellClass[(middleRow >> 1) * far.window.width] = CELL_CLASS.outside;
    const paths = fill(createMast({ near, far }), middleRow);
    expect([...paths.beyondDb.subarray(2, 6)]).toEqual([7, 7, 3, 3]);
    expect([...paths.cellClass.subarray(0, 3)]).toEqual([CELL_CLASS.outside, CELL_CLASS.outside, CELL_CLASS.clear]);
    expect([...paths.pathGain.subarray(0, 2)]).toEqual([0, 0]);
    const nearAlone = fill(createMast({ near }), middleRow);
    expect(nearAlone.cellClass[2]).toBe(CELL_CLASS.outside);
    expect([...paths.mayServe.subarray(2, 4)]).toEqual([0, 0]);
  });

  it("serves within the service range, where the path is known", () => {
    const near = createLayer();
    const column = Math.floor(rows.originColumn);
    near.rasters.cellClass[middleRow * WINDOW.width + column + 1] = CELL_CLASS.notKnown;
    const paths = fill(createMast({ near }), middleRow);
    const isServed = (at: number) => paths.mayServe[at] === 1;
    expect(isServed(column)).toBe(true);
    expect(isServed(column + 1)).toBe(false);
    expect(paths.beyondDb[column + 1]).toBe(0);
    for (let at = 0; at < WINDOW.width; at++) {
      if (at !== column + 1) expect(isServed(at)).toBe(paths.distanceKm[at] <= 20);
    }
    expect(isServed(0)).toBe(false);
  });

  it("is not looked at off the area", () => {
    const inArea = new Uint8Array(WINDOW.width).fill(1);
    inArea[3] = 0;
    const paths = fill(createMast({ far: createLayer({}, 1) }), middleRow, inArea);
    expect([paths.cellClass[3], paths.pathGain[3]]).toEqual([CELL_CLASS.outside, 0]);
    expect(paths.cellClass[4]).toBe(CELL_CLASS.clear);
  });
});

describe("the service disc of a row", () => {
  it("is where the near lattice answers", () => {
    const near = createLayer({ columnOffset: -2, rowOffset: 1 });
    const inArea = new Uint8Array(WINDOW.width);
    near.rasters.cellClass[WINDOW.width + 1] = CELL_CLASS.outside;
    markServiceDisc(createMast({ near }), 0, inArea);
    expect([...inArea.subarray(0, 6)]).toEqual([0, 0, 1, 0, 1, 1]);
    const below = new Uint8Array(WINDOW.width);
    markServiceDisc(createMast({ near }), WINDOW.height - 1, below);
    markServiceDisc(createMast({ near: null }), 3, below);
    expect(below.includes(1)).toBe(false);
  });
});
