import { findGeodesic, fitWindow } from "@fellmark/geodesy";
import { findPathGeometry } from "@fellmark/propagation";
import { createInlinePool, createSeededRandom } from "@fellmark/testkit";
import { computeWavelengthM } from "@fellmark/units";
import { describe, expect, it } from "vitest";
import { CancelledError } from "./cancelled.ts";
import { buildGeodesicProfile, computeLiteralExcessDb, createRadialProfiles, findCellCentre } from "./literal-cell.ts";
import { createPlanCache } from "./plan-cache.ts";
import { planSweep, sweep } from "./sweep.ts";
import { CELL_CLASS, type LossRasters, type SweepArea, type SweepSetup, sweepGeometry } from "./sweep-frame.ts";
import type { SweepPlan } from "./sweep-plan.ts";

const MAST = { lon: 24.3, lat: 61.2 };
const WINDOW = fitWindow([MAST], 1500, 12);
const AREA: SweepArea = { mast: MAST, radiusM: 1500, radialDensity: 2, window: WINDOW };
const pool = createInlinePool();

/** Hills on an Earth so small that its bulge decides: 24 m in the middle of 3 km. */
function setupOf(change: Partial<SweepSetup> = {}): SweepSetup {
  const random = createSeededRandom(17);
  const { width, height } = WINDOW;
  const heights = Float32Array.from({ length: width * height }, (_, cell) => {
    const [x, y] = [cell % width, Math.floor(cell / width)];
    return 200 + 12 * Math.sin(x / 7) * Math.cos(y / 9) + 4 * random();
  });
  return {
    ...AREA,
    ...{ mastGroundAmslM: 205, mastHeightAglM: 25, cpeHeightAglM: 5, frequencyGhz: 5.6, effectiveEarthRadiusM: 45_000 },
    ground: groundOf(heights),
    trees: { law: "weissberger", foliage: "leaf-on" },
    useTables: false,
    ...change,
  };
}

/** Bare ground of these heights. */
function groundOf(heights: Float32Array): SweepSetup["ground"] {
  const grids = { surfaceAmslM: heights, solidAmslM: heights, bareAmslM: heights, cellAmslM: heights };
  return { scale: 1, ...grids, cpeAmslM: null };
}

/** Radial of every cell of a plan, in the order of the plan. */
function listCells({ start, cells }: SweepPlan): { radial: number; packed: number }[] {
  const radials = start.length - 1;
  return Array.from({ length: radials }, (_, radial) =>
    Array.from(cells.subarray(start[radial], start[radial + 1]), (packed) => ({ radial, packed })),
  ).flat();
}

/** Every seventh cell: all radials and ranges, at a seventh of the literal form's time. */
const isSampled = (_: unknown, index: number) => index % 7 === 3;

const indexOf = (packed: number) => (packed >>> 16) * WINDOW.width + (packed & 0xffff);
const setup = setupOf();
const plan = await planSweep(pool, AREA);
const rasters = await sweep(pool, setup, plan);
const cells = listCells(plan);

describe("the plan of a sweep", () => {
  it("gives every cell within the radius to one radial, and no other cell", () => {
    const planned = new Set(cells.map(({ packed }) => packed));
    expect(planned.size).toBe(cells.length);
    for (let row = 0; row < WINDOW.height; row++) {
      for (let column = row % 3; column < WINDOW.width; column += 3) {
        const packed = row * 65_536 + column;
        const { distanceM } = findGeodesic(MAST, findCellCentre(setup, packed));
        if (Math.abs(distanceM - AREA.radiusM) > 0.1) expect(planned.has(packed)).toBe(distanceM < AREA.radiusM);
      }
    }
  });

  it("takes the radial whose azimuth is nearest, the nearer cells first", () => {
    const { radialCount, stepM } = sweepGeometry(AREA);
    let last = { radial: -1, distanceM: 0 };
    for (const { radial, packed } of cells.filter(isSampled)) {
      const { azimuthDeg, distanceM } = findGeodesic(MAST, findCellCentre(setup, packed));
      const offDeg = Math.abs(
        (((((azimuthDeg ?? 0) - ((radial + 0.5) * 360) / radialCount + 540) % 360) + 360) % 360) - 180,
      );
      expect(offDeg).toBeLessThan(180 / radialCount + 0.01);
      if (radial === last.radial) expect(distanceM).toBeGreaterThan(last.distanceM - stepM);
      last = { radial, distanceM };
    }
  });

  it("has 4 radials to a cell of the rim's quarter turn and density", () => {
    const { radialCount, radiusSteps } = sweepGeometry(AREA);
    expect(radialCount / (2 * Math.PI * radiusSteps * AREA.radialDensity)).toBeGreaterThan(1);
    expect(radialCount / (2 * Math.PI * radiusSteps * AREA.radialDensity)).toBeLessThan(1.03);
    expect(radialCount % 4).toBe(0);
  });
});

describe("the rasters of a sweep", () => {
  const profileOf = createRadialProfiles(setup);

  it("are the literal loss, class and ray angles of cells all over (ITU-R P.526-15 4.5, P.1812-6 eqs (76) to (81))", () => {
    const seen = new Map<number, number>();
    for (const { radial, packed } of cells.filter(isSampled)) {
      const profile = profileOf(radial, packed);
      if (profile.distanceM.length < 3) continue;
      const cell = indexOf(packed);
      const geometry = findPathGeometry(profile, 25, 5, computeWavelengthM(5.6), 45_000);
      seen.set(CELL_CLASS[geometry.class], (seen.get(CELL_CLASS[geometry.class]) ?? 0) + 1);
      expect(rasters.cellClass[cell]).toBe(CELL_CLASS[geometry.class]);
      expect(Math.abs(rasters.excessDb[cell] - computeLiteralExcessDb(setup, profile))).toBeLessThan(1e-4);
      expect(Math.abs(rasters.raysCdeg[2 * cell] / 100 - geometry.departureElevationDeg)).toBeLessThan(0.0051);
      expect(Math.abs(rasters.raysCdeg[2 * cell + 1] / 100 - geometry.arrivalElevationDeg)).toBeLessThan(0.0051);
    }
    expect(Math.min(...[0, 1, 2].map((sight) => seen.get(sight) ?? 0))).toBeGreaterThan(100);
  });

  it("have a straight clear ray where no sample lies between: 24.5 m down in the distance", () => {
    const { rows } = sweepGeometry(AREA);
    const isNear = (packed: number) =>
      Math.hypot((packed & 0xffff) - rows.originColumn, (packed >>> 16) - rows.originRow) < 5;
    const near = cells.filter(
      ({ radial, packed }) => isNear(packed) && profileOf(radial, packed).distanceM.length === 2,
    );
    expect(near.length).toBeGreaterThan(1);
    for (const { packed } of near) {
      const cell = indexOf(packed);
      const { distanceM } = findGeodesic(MAST, findCellCentre(setup, packed));
      const rise = (setup.ground.cellAmslM[cell] + 5 - 230) / distanceM;
      const angleDeg = (Math.atan(rise) * 180) / Math.PI;
      expect(rasters.cellClass[cell]).toBe(CELL_CLASS.clear);
      expect(rasters.excessDb[cell]).toBeCloseTo(10 * Math.log10(1 + rise * rise), 3);
      expect(rasters.raysCdeg[2 * cell] / 100).toBeCloseTo(angleDeg, 1);
      expect(rasters.raysCdeg[2 * cell + 1] / 100).toBeCloseTo(-angleDeg, 1);
    }
  });

  it("follow a radial that lies within half a radial of the geodesic: the same loss on smooth ground", async () => {
    const smooth = Float32Array.from(
      { length: WINDOW.width * WINDOW.height },
      (_, cell) => 200 + (cell % WINDOW.width) / 9,
    );
    const ground = groundOf(smooth);
    const plain = setupOf({ ground });
    const found = await sweep(pool, plain, plan);
    for (const { packed } of cells.filter((_, index) => index % 40 === 7)) {
      const literalDb = computeLiteralExcessDb(plain, buildGeodesicProfile(plain, packed));
      expect(Math.abs(found.excessDb[indexOf(packed)] - literalDb)).toBeLessThan(0.1);
    }
  });

  it("leave cells outside the disc alone", () => {
    const planned = new Set(cells.map(({ packed }) => indexOf(packed)));
    const outside = [...rasters.cellClass.keys()].filter((cell) => !planned.has(cell));
    expect(outside.length).toBeGreaterThan(100);
    for (const cell of outside) {
      expect(rasters.cellClass[cell]).toBe(CELL_CLASS.outside);
      expect(rasters.excessDb[cell]).toBeNaN();
    }
  });
});

describe("heights that are not known", () => {
  /** Rasters over flat ground with a hole two columns wide, three cells east of the mast. */
  async function overHole(): Promise<{ found: LossRasters; mastColumn: number; mastRow: number }> {
    const { rows } = sweepGeometry(AREA);
    const [mastColumn, mastRow] = [Math.floor(rows.originColumn), Math.floor(rows.originRow)];
    const heights = new Float32Array(WINDOW.width * WINDOW.height).fill(50);
    for (const east of [3, 4]) {
      for (let north = -1; north <= 1; north++)
        heights[(mastRow - north) * WINDOW.width + mastColumn + east] = Number.NaN;
    }
    const ground = groundOf(heights);
    return { found: await sweep(pool, setupOf({ ground, mastGroundAmslM: 50 }), plan), mastColumn, mastRow };
  }

  it("make every cell behind them not known, and no cell before them or beside", async () => {
    const { found, mastColumn, mastRow } = await overHole();
    const classAt = (east: number, north: number) =>
      found.cellClass[(mastRow - north) * WINDOW.width + mastColumn + east];
    expect([3, 4, 6, 10, 20].map((east) => classAt(east, 0))).toEqual(new Array(5).fill(CELL_CLASS.notKnown));
    expect([-10, -3, 1].map((east) => classAt(east, 0))).toEqual(new Array(3).fill(CELL_CLASS.clear));
    expect(classAt(4, 9)).not.toBe(CELL_CLASS.notKnown);
  });
});

describe("a sweep that is watched", () => {
  it("reports progress and stops on the signal", async () => {
    const abort = new AbortController();
    abort.abort();
    await expect(sweep(pool, setup, plan, { signal: abort.signal })).rejects.toThrow(CancelledError);
    const again = await sweep(pool, setup, plan, { signal: new AbortController().signal });
    expect(again).toEqual(rasters);
  });
});

describe("the cache of plans", () => {
  const build = async (): Promise<SweepPlan> => ({ start: new Uint32Array(5), cells: new Uint32Array(20) });
  const at = (lon: number, change: Partial<SweepArea> = {}): SweepArea => ({
    ...AREA,
    mast: { lon, lat: 0 },
    ...change,
  });

  it("keeps the plans asked for last, 100 bytes each: of three in 250 bytes the first goes", async () => {
    const cache = createPlanCache(250);
    const [first, second] = [await cache.get(at(1), build), await cache.get(at(2), build)];
    expect(await cache.get(at(1), build)).toBe(first);
    const third = await cache.get(at(3), build);
    expect(await cache.get(at(3), build)).toBe(third);
    expect(await cache.get(at(1), build)).toBe(first);
    expect(await cache.get(at(2), build)).not.toBe(second);
  });

  it("tells plans apart by mast, lattice, radius and density", async () => {
    const cache = createPlanCache(1e6);
    const changes = [
      {},
      { mast: { lon: 1, lat: 2 } },
      { radiusM: 900 },
      { radialDensity: 1 },
      { window: { ...WINDOW, zoom: 11 } },
    ];
    const plans = [];
    for (const change of changes) plans.push(await cache.get(at(1, change), build));
    expect(new Set(plans).size).toBe(changes.length);
  });
});
