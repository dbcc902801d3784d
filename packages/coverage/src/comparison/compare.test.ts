import { computeCellAreaM2, findGeodesicPoint } from "@fellmark/geodesy";
import { applyChanges } from "@fellmark/network";
import { createPlanCache } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createInlinePool, createTempDir } from "@fellmark/testkit";
import { afterAll, describe, expect, it } from "vitest";
import { buildPlainRequest, MIDDLE, writePlainWorld } from "../testing/plain-world.ts";
import { CHANGE_CLASS } from "./change-class.ts";
import { compareCoverages } from "./compare.ts";
import { coverCells } from "./covered-cells.ts";
import { findCellOfPlace } from "./places.ts";

/** A plain at 100 m with a wall of 150 m, 6 samples (550 m) north of the mast. */
const folder = createTempDir();
writePlainWorld(folder.path, (_column, row) => (row === 594 ? 150 : 100));
const catalogue = await openCatalogue(folder.path);
afterAll(() => folder.remove());
const engine = { pool: createInlinePool(), plans: createPlanCache(2 ** 20) };

const base = buildPlainRequest({
  subscribers: [{ id: "home", sector: "s1", plan: "basic", ...findGeodesicPoint(MIDDLE, 170, 500) }],
});
/** North of the mast, east of it, south of it, behind the wall, and far off. */
const PLACES = [
  findGeodesicPoint(MIDDLE, 0, 300),
  findGeodesicPoint(MIDDLE, 90, 400),
  findGeodesicPoint(MIDDLE, 180, 400),
  findGeodesicPoint(MIDDLE, 0, 690),
  findGeodesicPoint(MIDDLE, 0, 9000),
];
const premises = PLACES.map(({ lon, lat }) => [lon, lat] as [number, number]);

/** The southern sector turns to the east. */
const changes = [{ kind: "turn" as const, sector: "s1", azimuthDeg: 90 }];
const seen: number[] = [];
const comparison = await compareCoverages(
  engine,
  catalogue,
  { base, changes, premises, steps: false },
  { onProgress: (share) => seen.push(share) },
);
const { before, after, classes, report, window } = comparison;

const sumCells = (counts: (cell: number) => boolean) => Array.from(classes.keys()).filter(counts).length;

describe("a comparison", () => {
  it("holds both coverages as they are by themselves, though the second reuses the first", async () => {
    const alone = await coverCells(engine, catalogue, base, {});
    expect(before.cells).toEqual(alone.cells);
    expect(before.coverage.noise).toEqual(alone.coverage.noise);
    const changed = await coverCells(engine, catalogue, applyChanges(base, changes), {});
    expect(after.cells).toEqual(changed.cells);
    expect(after.cells.tier).not.toEqual(before.cells.tier);
  });

  it("reports its progress over both, from 0 to 1", () => {
    expect(seen).toEqual([...seen].sort((a, b) => a - b));
    expect(seen.filter((share) => share <= 0.5).at(-1)).toBe(0.5);
    expect(seen.at(-1)).toBe(1);
  });

  it("classes each cell, and counts the cells of each class", () => {
    const tiers = (cell: number) => [before.cells.tier[cell], after.cells.tier[cell]];
    const isPlan = (tier: number) => tier === 1 || tier === 2;
    const gained = sumCells((cell) => tiers(cell)[0] === 0 && isPlan(tiers(cell)[1]));
    const lost = sumCells((cell) => isPlan(tiers(cell)[0]) && tiers(cell)[1] === 0);
    const better = sumCells((cell) => tiers(cell).join() === "2,1");
    const worse = sumCells((cell) => tiers(cell).join() === "1,2");
    expect(report.cells).toMatchObject({ gained, lost, betterPlan: better, worsePlan: worse });
    expect(gained).toBeGreaterThan(0);
    expect(lost + worse).toBeGreaterThan(10);
    const inArea = sumCells((cell) => tiers(cell)[0] < 254);
    expect(report.cells.unchanged).toBe(inArea - gained - lost - better - worse);
    expect(report.cells.unchanged).toBe(sumCells((cell) => classes[cell] === CHANGE_CLASS.unchanged));
  });

  it.each([1, 2])("sums ground with plan %i before, after, gained and lost, km2", (tier) => {
    const has = (cellTier: number) => cellTier > 0 && cellTier <= tier;
    const sumKm2 = (counts: (was: number, is: number) => boolean) =>
      Array.from(classes.keys())
        .filter((cell) => counts(before.cells.tier[cell], after.cells.tier[cell]))
        .reduce((sum, cell) => sum + computeCellAreaM2(window.row0 + Math.floor(cell / window.width), window.zoom), 0) /
      1e6;
    const change = report.tiers[tier - 1];
    expect(change.plan).toBe(base.plans[tier - 1].id);
    expect(change.beforeKm2).toBeCloseTo(
      sumKm2((was) => has(was)),
      9,
    );
    expect(change.afterKm2).toBeCloseTo(
      sumKm2((_, is) => has(is)),
      9,
    );
    expect(change.gainedKm2).toBeCloseTo(
      sumKm2((was, is) => has(is) && !has(was)),
      9,
    );
    expect(change.lostKm2).toBeCloseTo(
      sumKm2((was, is) => has(was) && !has(is)),
      9,
    );
    expect(change.beforeKm2 + change.afterKm2).toBeGreaterThan(0);
    expect(change.beforeKm2 + change.gainedKm2 - change.lostKm2).toBeCloseTo(change.afterKm2, 9);
  });

  it("counts premises by the cells that they lie in; those off the window do not count", () => {
    const cells = PLACES.map((place) => findCellOfPlace(window, place));
    expect(cells.at(-1)).toBe(-1);
    const known = cells.slice(0, -1).map((cell) => [before.cells.tier[cell], after.cells.tier[cell]]);
    for (const [index, { premises: change }] of report.tiers.entries()) {
      const tier = index + 1;
      const has = (cellTier: number) => cellTier > 0 && cellTier <= tier;
      expect(change).toEqual({
        before: known.filter(([was]) => has(was)).length,
        after: known.filter(([, is]) => has(is)).length,
        gained: known.filter(([was, is]) => !has(was) && has(is)).length,
        lost: known.filter(([was, is]) => has(was) && !has(is)).length,
      });
    }
    const totals = report.tiers.map(({ premises: change }) => change);
    expect(totals.some((change) => (change?.lost ?? 0) > 0)).toBe(true);
    expect(totals.some((change) => (change?.gained ?? 0) > 0)).toBe(true);
  });

  it("names the subscriber who is harmed, and compares sectors and overlaps", () => {
    expect(report.doNoHarm.harmed).toMatchObject([{ subscriber: "home" }]);
    expect(report.sectors.map(({ id }) => id)).toEqual(["s0", "s1"]);
    expect(report.overlaps.before.map(({ azimuthDeg }) => Math.round(azimuthDeg))).toEqual([90, 270]);
    expect(report.overlaps.after.map(({ azimuthDeg }) => Math.round(azimuthDeg))[0]).toBe(45);
  });

  it("has no premises where none were given", async () => {
    const { report: bare } = await compareCoverages(engine, catalogue, {
      base,
      changes: [],
      premises: [],
      steps: false,
    });
    expect(bare.tiers.map((change) => change.premises)).toEqual([null, null]);
    expect(bare.cells).toMatchObject({ gained: 0, lost: 0, betterPlan: 0, worsePlan: 0 });
  });

  it("lies on the window of the sites of both", async () => {
    const site = { id: "n", ...findGeodesicPoint(MIDDLE, 90, 1000) };
    const sector = { ...base.sectors[0], id: "new", site: "n" };
    const grown = await compareCoverages(engine, catalogue, {
      base,
      changes: [{ kind: "add-sector", sector, site }],
      premises: [],
      steps: false,
    });
    expect(grown.window.width).toBeGreaterThan(window.width);
    expect(grown.before.cells.tier).toHaveLength(grown.after.cells.tier.length);
    expect(grown.report.cells.gained).toBeGreaterThan(30);
  });
});
