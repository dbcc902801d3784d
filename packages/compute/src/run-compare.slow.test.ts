import { mkdirSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { ComparisonReport } from "@fellmark/coverage";
import { type Change, parseComparisonRequest } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { findGeometryFaults } from "@fellmark/tiers";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Compute } from "./compute.ts";
import { createCompute } from "./create-compute.ts";
import { buildSmallRequest, writeTile } from "./testing/small-world.ts";

const DEADLINE_MS = 120_000;

let folder: TempDir;
let terrainDir: string;
let compute: Compute;
let runs = 0;

beforeAll(() => {
  folder = createTempDir();
  terrainDir = join(folder.path, "terrain");
  writeTile(terrainDir);
  compute = createCompute();
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

interface Run {
  outDir: string;
  text: string;
  report: ComparisonReport;
}

async function compare(changes: unknown[], extra: object = {}, steps = false): Promise<Run> {
  const outDir = join(folder.path, `out-${++runs}`);
  mkdirSync(outDir);
  const base = { ...buildSmallRequest(), ...extra };
  const request = parseComparisonRequest({ version: 1, base, steps, changes: changes as Change[] });
  await compute.compare({ jobId: "j1", request, terrainDir, outDir }, { deadlineMs: DEADLINE_MS });
  const text = readFileSync(join(outDir, "summary.json"), "utf8");
  return { outDir, text, report: JSON.parse(text) };
}

const UNCHANGED = { gained: 0, lost: 0, betterPlan: 0, worsePlan: 0 };

describe("a comparison", () => {
  it("writes summary, GeoJSON without faults and three pictures, the same bytes each time", async () => {
    const turned = [{ kind: "turn", sector: "a-n", azimuthDeg: 90 }];
    const { outDir, text, report } = await compare(turned);
    expect(readdirSync(outDir).sort()).toEqual([
      ...["after.png", "before.png", "change.geojson", "change.png", "summary.json"],
    ]);
    expect(findGeometryFaults(JSON.parse(readFileSync(join(outDir, "change.geojson"), "utf8")))).toEqual([]);
    expect(report.cells.worsePlan + report.cells.lost + report.cells.gained + report.cells.betterPlan).toBeGreaterThan(
      0,
    );
    expect((await compare(turned)).text).toBe(text);
  });

  it("tells the effect of each change after those before it, which add up to the whole", async () => {
    const changes = [
      { kind: "height", sector: "a-n", heightAglM: 12 },
      { kind: "turn", sector: "a-n", azimuthDeg: 40 },
    ];
    const { report } = await compare(changes, {}, true);
    const [height, turn] = report.steps ?? [];
    expect([height.kind, height.change, turn.kind, turn.change]).toEqual(["height", 0, "turn", 1]);
    const alone = (await compare([changes[0]])).report;
    expect(alone.steps).toBeNull();
    expect(height).toMatchObject({ cells: alone.cells, tiers: alone.tiers, sinrDown: alone.sinrDown });
    const net = ({ tiers }: Pick<ComparisonReport, "tiers">) =>
      tiers.map(({ gainedKm2, lostKm2 }) => gainedKm2 - lostKm2);
    net(report).forEach((km2, plan) => {
      expect(net(height)[plan] + net(turn)[plan]).toBeCloseTo(km2, 2);
    });
  });

  it("of a mast that is moved and moved back changes nothing, and one that is moved does", async () => {
    const [{ id, lon, lat }] = buildSmallRequest().sites;
    const away = { kind: "move-site", site: id, lon: lon + 0.01, lat };
    const { report } = await compare([away, { kind: "move-site", site: id, lon, lat }], {}, true);
    expect(report.cells).toMatchObject(UNCHANGED);
    const [moved, back] = report.steps ?? [];
    expect(moved.cells.gained).toBeGreaterThan(0);
    expect(moved.cells.lost).toBeGreaterThan(0);
    expect([back.cells.gained, back.cells.lost]).toEqual([moved.cells.lost, moved.cells.gained]);
  });

  it("of a sector turned to where it looks already changes nothing at all", async () => {
    const { report } = await compare([{ kind: "turn", sector: "a-n", azimuthDeg: 0 }]);
    expect(report.cells).toMatchObject(UNCHANGED);
    expect(report.sinrDown).toEqual({ meanDb: 0, p10Db: 0, p90Db: 0 });
  });

  it.each(["peak-kept", "renormalised"])(
    "of a pattern without lobes against itself without lobes is zero (%s)",
    async (power) => {
      const lobeless = {
        id: "panel",
        kind: "cuts",
        gainDbi: 8,
        horizontal: [
          [0, 0],
          [180, -80],
        ],
        vertical: [
          [-90, -40],
          [0, 0],
          [90, -40],
        ],
      };
      const antennas = [lobeless, ...buildSmallRequest().antennas.filter(({ id }) => id !== "panel")];
      const { report } = await compare([{ kind: "without-lobes", sector: "a-n", power }], { antennas });
      expect(report.cells).toMatchObject(UNCHANGED);
      expect(report.sinrDown).toEqual({ meanDb: 0, p10Db: 0, p90Db: 0 });
      expect(report.sinrUp).toEqual({ meanDb: 0, p10Db: 0, p90Db: 0 });
    },
  );

  it("of less power never grows the sector's own area, and never lowers a neighbour's SINR", async () => {
    const { report } = await compare([{ kind: "power", sector: "a-n", powerDbm: 9 }]);
    const [own, neighbour] = report.sectors;
    expect(own.after?.servedCells).toBeLessThanOrEqual(own.before?.servedCells ?? 0);
    expect(neighbour.sinrDown?.p10Db).toBeGreaterThanOrEqual(0);
  });

  it("names the subscribers that a change would harm, and counts premises by plan", async () => {
    const subscriber = { id: "h1", sector: "a-n", lon: -30.5, lat: 12.508, plan: "p25" };
    const outDir = join(folder.path, "harm");
    mkdirSync(outDir);
    const request = parseComparisonRequest({
      version: 1,
      base: { ...buildSmallRequest(), subscribers: [subscriber] },
      changes: [
        { kind: "power", sector: "a-n", powerDbm: -20 },
        { kind: "power", sector: "b-e", powerDbm: -20 },
      ],
      premises: [[subscriber.lon, subscriber.lat]],
    });
    await compute.compare({ jobId: "j1", request, terrainDir, outDir }, { deadlineMs: DEADLINE_MS });
    const report: ComparisonReport = JSON.parse(readFileSync(join(outDir, "summary.json"), "utf8"));
    expect(report.doNoHarm).toMatchObject({ passes: false, subscribers: 1, harmed: [{ subscriber: "h1" }] });
    expect(report.tiers.reduce((sum, { premises }) => sum + (premises?.lost ?? 0), 0)).toBeGreaterThan(0);
  });

  it("gives the ground along a co-channel overlap back when its two sectors no longer share a channel", async () => {
    const channel = { centreMhz: 5680, widthMhz: 20 };
    const { report } = await compare([{ kind: "channel", sector: "a-s", channel }]);
    const [was, is] = [report.overlaps.before, report.overlaps.after];
    expect(was.map(({ sectors, isSameChannel }) => [...sectors, isSameChannel])).toEqual([
      ["a-n", "a-s", true],
      ["a-s", "a-n", true],
    ]);
    for (const [index, { isSameChannel, ground }] of is.entries()) {
      expect(isSameChannel).toBe(false);
      const { servedCells, meanSinrDownDb } = was[index].ground;
      expect(ground.meanSinrDownDb).toBeGreaterThan((meanSinrDownDb ?? 0) + 1);
      expect(ground.servedCells).toBeGreaterThan(servedCells);
    }
  });

  it("lets a sector of another timing group drown its neighbour's receiver", async () => {
    const { report } = await compare([{ kind: "timing", sector: "a-s", timingGroup: "free" }]);
    const [north] = report.sectors;
    expect((north.after?.noiseUpDbm ?? 0) - (north.before?.noiseUpDbm ?? 0)).toBeGreaterThan(10);
  });
});
