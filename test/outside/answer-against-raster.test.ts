import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { type AnswerScene, answerPoint, prepareAnswers } from "@fellmark/answers";
import type { Engine } from "@fellmark/coverage";
import { type LonLat, toLatitudeDeg, toLongitudeDeg } from "@fellmark/geodesy";
import { findWindow, parseCoverageRequest } from "@fellmark/network";
import { openCatalogue, openMosaic, type TerrainCatalogue } from "@fellmark/terrain";
import { createSeededRandom, createTempDir, needsShared, sharedDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { smallTiff } from "../faults/small-tiff.ts";
import { cellPlace, cover, createEngine, knownCells } from "./covered.ts";

const CELLS = 300;
const LEAST_AGREEMENT = { native: 0.93, lattice: 0.98 };

const channel = { centreMhz: 5600, widthMhz: 20 };
const sector = { site: "s", antenna: "element", radio: "r", heightAglM: 30, downtiltDeg: 2, powerDbm: 30 };
const requestWith = (model: object, cpeGainDbi = 25) =>
  parseCoverageRequest({
    version: 1,
    area: { radiusM: 8000, zoom: 12 },
    model,
    sites: [{ id: "s", lon: -71.8117, lat: 44.4808 }],
    antennas: [
      { id: "element", kind: "tr38901" },
      { id: "cpe", kind: "isotropic", gainDbi: cpeGainDbi },
    ],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: [
      { ...sector, id: "n", azimuthDeg: 0, channel },
      { ...sector, id: "e", azimuthDeg: 120, channel: { ...channel, centreMhz: 5680 } },
      { ...sector, id: "w", azimuthDeg: 240, channel: { ...channel, centreMhz: 5640 } },
    ],
    cpe: { heightAglM: 6, antenna: "cpe", radio: "r", powerDbm: 27 },
    plans: [
      { id: "p60", downMbps: 60, upMbps: 10 },
      { id: "p15", downMbps: 15, upMbps: 3 },
    ],
  });
const DEFAULT = requestWith({ clutter: { class: "open" } });

/** Classes of clutter with a gain of the CPE that leaves all plans somewhere. */
const CLUTTER: [string, object, number][] = [
  ["trees around", { clutter: { class: "trees", heightM: 9 } }, 40],
  ["woods that stand well above", { clutter: { class: "trees" } }, 55],
  ["houses", { clutter: { class: "suburban" } }, 45],
  ["a town", { clutter: { class: "urban" } }, 55],
  ["water", { clutter: { class: "water" } }, 25],
  ["built-up country by its statistics", { clutter: { class: "statistical" } }, 55],
  ["nothing known", { clutter: { class: "unknown" } }, 30],
  [
    "open land, fading by P.530 and rain",
    { clutter: { class: "open" }, fading: { rule: "p530", rainMmPerHour: 40 } },
    25,
  ],
];

describe.skipIf(!needsShared())("the plan of the raster and of the answer", () => {
  let engine: Engine;
  let folder: TempDir;
  beforeAll(() => {
    engine = createEngine();
    folder = createTempDir();
  });
  afterAll(async () => {
    await engine.pool.close();
    folder.remove();
  });

  test(`agree at ${100 * LEAST_AGREEMENT.native} % of random cells of the real tile N44W072`, async () => {
    const catalogue = await openCatalogue(join(sharedDir, "terrain/dem"));
    expect(await agreement(engine, catalogue)).toBeGreaterThanOrEqual(LEAST_AGREEMENT.native);
  });

  test(`agree at ${100 * LEAST_AGREEMENT.lattice} % where the terrain lies on the lattice itself`, async () => {
    const catalogue = await onLattice(await openCatalogue(join(sharedDir, "terrain/dem")), folder.path);
    expect(await agreement(engine, catalogue)).toBeGreaterThanOrEqual(LEAST_AGREEMENT.lattice);
  });

  test.each(CLUTTER)(
    `agree at ${100 * LEAST_AGREEMENT.lattice} %% on the lattice: %s`,
    async (_what, model, gainDbi) => {
      const catalogue = await onLattice(await openCatalogue(join(sharedDir, "terrain/dem")), folder.path);
      const share = await agreement(engine, catalogue, requestWith(model, gainDbi));
      expect(share).toBeGreaterThanOrEqual(LEAST_AGREEMENT.lattice);
    },
  );
});

/** A catalogue of one raster whose cells are those of the lattice, with the ground of another. */
async function onLattice(from: TerrainCatalogue, dir: string): Promise<TerrainCatalogue> {
  const { zoom, col0, row0, width, height } = findWindow(DEFAULT);
  const margin = 8;
  const side = Math.max(width, height) + 2 * margin;
  const [west, north] = [toLongitudeDeg(col0 - margin, zoom), toLatitudeDeg(row0 - margin, zoom)];
  const [east, south] = [toLongitudeDeg(col0 - margin + side, zoom), toLatitudeDeg(row0 - margin + side, zoom)];
  const ground = await openMosaic(from, ["default"], [west, south, east, north]);
  // Source: EPSG:3857 spans +-20037508.342789244 m; 256 x 2^zoom cells a side.
  const half = 20_037_508.342789244;
  const step = (2 * half) / (256 * 2 ** zoom);
  const tiff = smallTiff({
    ...{ epsg: 3857, step, side },
    west: (col0 - margin) * step - half,
    north: half - (row0 - margin) * step,
    height: (x, y) =>
      ground.findHeightAmslM(toLongitudeDeg((x + half) / step, zoom), toLatitudeDeg((half - y) / step, zoom)),
  });
  writeFileSync(join(dir, "lattice.tif"), tiff);
  return openCatalogue(dir);
}

/** Share of random cells at which both have one plan; where they differ, their signals must account for it. */
async function agreement(engine: Engine, catalogue: TerrainCatalogue, request = DEFAULT): Promise<number> {
  const covered = await cover(engine, catalogue, request);
  const scene = await prepareAnswers(engine, catalogue, request);
  const known = knownCells(covered);
  const random = createSeededRandom(7);
  const plans = new Map<string, number>();
  const unlike: number[] = [];
  const differencesDb: number[] = [];
  for (let count = 0; count < CELLS; count++) {
    const cell = known[Math.floor(random() * known.length)];
    const at = cellPlace(covered.window, cell);
    const answer = await answerPoint(scene, at);
    const plan = request.plans[covered.tier[cell] - 1]?.id ?? null;
    plans.set(String(plan), (plans.get(String(plan)) ?? 0) + 1);
    const signalDbm = answer.links[0].down.find(({ term }) => term === "signal")?.db ?? Number.NaN;
    const strongerDb = signalDbm - covered.signalDownDbm[cell];
    differencesDb.push(Math.abs(strongerDb));
    if (plan === answer.plan) continue;
    unlike.push(strongerDb);
    // With clutter the class of the path, which sets the spread, may differ too where a zone is just free.
    if (request === DEFAULT)
      expect(await plansAround(scene, at, request.cpe.pointingLossDb + strongerDb)).toContain(plan);
  }
  differencesDb.sort((a, b) => a - b);
  const of = (share: number) => differencesDb[Math.ceil(share * CELLS) - 1].toFixed(2);
  const share = 1 - unlike.length / CELLS;
  console.info(
    `${CELLS} cells, ${JSON.stringify(Object.fromEntries(plans))}: the same plan at ${(100 * share).toFixed(1)} %, ` +
      `signal differs by ${of(0.5)} dB (median), ${of(0.95)} (95 %), ${of(1)} at worst; ` +
      `where the plan differs, by ${unlike.map((db) => db.toFixed(2)).join(", ")}`,
  );
  expect(plans.size).toBe(3);
  return share;
}

/** What the raster's levels are rounded to, dB; and what its tables of gains and losses err by. */
const ROUNDING_DB = 0.05;

/** The plans of an answer whose signal is weaker by so much, give or take the raster's rounding. */
async function plansAround(scene: AnswerScene, at: LonLat, pointingLossDb: number): Promise<(string | null)[]> {
  const plans: (string | null)[] = [];
  for (const offDb of [-ROUNDING_DB, 0, ROUNDING_DB]) {
    const cpe = { pointingLossDb: pointingLossDb + offDb };
    plans.push((await answerPoint(scene, at, { cpe })).plan);
  }
  return plans;
}
