import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createLevelStore, type Engine } from "@fellmark/coverage";
import { findGeodesic } from "@fellmark/geodesy";
import { parseCoverageRequest } from "@fellmark/network";
import { openCatalogue, type TerrainCatalogue } from "@fellmark/terrain";
import { createSeededRandom, createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { smallTiff } from "../faults/small-tiff.ts";
import { type Covered, cellPlace, cover, createEngine, knownCells } from "./covered.ts";

const MAST = { lon: 5.02, lat: 30.01 };

let folder: TempDir;
let engine: Engine;
beforeAll(() => {
  folder = createTempDir();
  engine = createEngine();
});
afterAll(async () => {
  await engine.pool.close();
  folder.remove();
});

/** A catalogue of one raster of 0.2 degrees around the mast. */
function world(name: string, height: (lon: number, lat: number) => number): Promise<TerrainCatalogue> {
  const dir = join(folder.path, name);
  mkdirSync(dir);
  const corner = { west: MAST.lon - 0.1, north: MAST.lat + 0.1, step: 0.0004, side: 500 };
  writeFileSync(join(dir, "world.tif"), smallTiff({ ...corner, height }));
  return openCatalogue(dir);
}

/** Hills of a seed: eight waves of 0.4 to 4 km and 5 to 60 m. */
function hills(seed: number): (lon: number, lat: number) => number {
  const random = createSeededRandom(seed);
  const waves = Array.from({ length: 8 }, () => {
    const turnsPerDeg = 25 * 10 ** random();
    const turn = 2 * Math.PI * random();
    const x = 2 * Math.PI * turnsPerDeg * Math.cos(turn);
    const y = 2 * Math.PI * turnsPerDeg * Math.sin(turn);
    return { x, y, phase: 2 * Math.PI * random(), heightM: 5 + (1500 * random()) / turnsPerDeg };
  });
  return (lon, lat) =>
    waves.reduce((sum, { x, y, phase, heightM }) => sum + heightM * Math.sin(x * lon + y * lat + phase), 300);
}

interface Change {
  azimuths?: number[];
  antenna?: "element" | "round";
  powerDbm?: number;
  noiseFigureDb?: number;
  plans?: [number, number][];
  radiusM?: number;
  cpeHeightAglM?: number;
  obstacleCapDb?: null;
}

/** Sectors on one mast and one channel. */
function request(change: Change = {}) {
  const { azimuths = [0], antenna = "element", powerDbm = 19, noiseFigureDb = 6, radiusM = 2500 } = change;
  const {
    plans = [
      [100, 20],
      [25, 5],
    ],
    cpeHeightAglM = 6,
  } = change;
  return parseCoverageRequest({
    version: 1,
    area: { radiusM, zoom: 12 },
    quality: "preview",
    model: { clutter: { class: "open" }, ...(change.obstacleCapDb === null && { obstacleCapDb: null }) },
    sites: [{ id: "s", ...MAST }],
    antennas: [
      { id: "element", kind: "tr38901" },
      { id: "round", kind: "isotropic", gainDbi: 10 },
      { id: "cpe", kind: "isotropic", gainDbi: 16 },
    ],
    radios: [{ id: "r", table: "802.11ax", noiseFigureDb }],
    sectors: azimuths.map((azimuthDeg, index) => ({
      id: `s${index}`,
      site: "s",
      antenna,
      radio: "r",
      heightAglM: 30,
      azimuthDeg,
      channel: { centreMhz: 5600, widthMhz: 20 },
      powerDbm,
    })),
    cpe: { heightAglM: cpeHeightAglM, antenna: "cpe", radio: "r", powerDbm },
    plans: plans.map(([downMbps, upMbps], index) => ({ id: `p${index}`, downMbps, upMbps })),
    outputs: ["rasters"],
  });
}

/** Cells whose plan is worse than the one that they had. */
function cellsWorse(before: Covered, after: Covered): number {
  const rank = (tier: number) => (tier === 0 ? 100 : tier);
  return knownCells(before).filter((cell) => rank(after.tier[cell]) > rank(before.tier[cell])).length;
}

/** Cells with a rate, down or up, that is higher than it was. */
function cellsFaster(before: Covered, after: Covered): number {
  return knownCells(before).filter(
    (cell) => after.rateDownMbps[cell] > before.rateDownMbps[cell] || after.rateUpMbps[cell] > before.rateUpMbps[cell],
  ).length;
}

const served = ({ tier }: Covered) => tier.filter((plan) => plan > 0 && plan < 254).length;

describe.each([1, 2, 3])("in the hills of seed %i", (seed) => {
  let terrain: TerrainCatalogue;
  let normal: Covered;
  beforeAll(async () => {
    terrain = await world(`hills-${seed}`, hills(seed));
    normal = await cover(engine, terrain, request());
    expect(served(normal)).toBeGreaterThan(100);
  });

  test("less power never makes a plan or a rate better anywhere", async () => {
    let last = normal;
    for (const powerDbm of [16, 9, 0]) {
      const weaker = await cover(engine, terrain, request({ powerDbm }));
      expect([cellsWorse(weaker, last), cellsFaster(last, weaker)]).toEqual([0, 0]);
      expect(served(weaker)).toBeLessThan(served(last));
      last = weaker;
    }
  });

  test("more noise never raises a rate", async () => {
    let last = normal;
    for (const noiseFigureDb of [7.5, 12, 20]) {
      const noisier = await cover(engine, terrain, request({ noiseFigureDb }));
      expect(cellsFaster(last, noisier)).toBe(0);
      expect(served(noisier)).toBeLessThan(served(last));
      last = noisier;
    }
  });

  test("plans that ask for less hold wherever stricter ones do: tiers nest", async () => {
    for (const plans of [
      [
        [80, 15],
        [25, 5],
      ],
      [
        [100, 10],
        [10, 1],
      ],
      [
        [40, 2],
        [5, 5],
      ],
    ] as [number, number][][]) {
      const relaxed = await cover(engine, terrain, request({ plans }));
      expect(cellsWorse(normal, relaxed)).toBe(0);
    }
  });

  test("two equal sectors of one mast on one channel: C/I is the difference of their gains", async () => {
    const azimuths = [20, 110];
    const strong = { powerDbm: 40, noiseFigureDb: 0, obstacleCapDb: null };
    const [one, other, both] = await Promise.all([
      cover(engine, terrain, request({ ...strong, azimuths: [azimuths[0]] })),
      cover(engine, terrain, request({ ...strong, azimuths: [azimuths[1]] })),
      cover(engine, terrain, request({ ...strong, azimuths })),
    ]);
    // Thermal noise in 20 MHz at 290 K: -174 + 73 = -100.965 dBm (k T B).
    const noiseMw = 10 ** (-100.965 / 10);
    const worst = { gainDb: 0, sinrDb: 0, cells: 0 };
    for (const cell of knownCells(both)) {
      const { azimuthDeg } = findGeodesic(MAST, cellPlace(both.window, cell));
      const off = azimuths.map((aim) => ((azimuthDeg - aim + 540) % 360) - 180);
      // Within 100 degrees of the aim the 30 dB floor of the pattern is not reached near the horizon.
      if (Math.max(...off.map(Math.abs)) > 100) continue;
      const [first, second] = [one.signalDownDbm[cell], other.signalDownDbm[cell]];
      // 3GPP TR 38.901 table 7.3-1: 12 (phi / 65)^2 dB off the peak.
      const gainDb = (12 * (off[1] ** 2 - off[0] ** 2)) / 65 ** 2;
      worst.gainDb = Math.max(worst.gainDb, Math.abs(first - second - gainDb));
      const [wantedDbm, otherDbm] = [Math.max(first, second), Math.min(first, second)];
      const sinrDb = wantedDbm - 10 * Math.log10(noiseMw + 10 ** (otherDbm / 10));
      worst.sinrDb = Math.max(worst.sinrDb, Math.abs(both.sinrDownDb[cell] - sinrDb));
      worst.cells++;
    }
    console.info(
      `C/I of ${worst.cells} cells: worst ${worst.gainDb.toFixed(3)} dB, SINR ${worst.sinrDb.toFixed(3)} dB`,
    );
    expect(worst.cells).toBeGreaterThan(1000);
    expect(worst.gainDb).toBeLessThan(0.02);
    expect(worst.sinrDb).toBeLessThan(0.02);
  });
});

test("kept levels give what a fresh start gives, whatever changes in between", async () => {
  const terrain = await world("kept", hills(4));
  const levels = createLevelStore(2 ** 28);
  const changes: Change[] = [
    { azimuths: [0, 120, 240] },
    { azimuths: [0, 120, 200] },
    { azimuths: [0, 120, 200], antenna: "round" },
    { azimuths: [30, 120, 200], powerDbm: 25 },
    { azimuths: [30, 200] },
  ];
  for (const change of changes) {
    const kept = await cover(engine, terrain, request(change), levels);
    expect(kept).toEqual(await cover(engine, terrain, request(change)));
  }
});

test("on flat ground the rates of a lone sector fall with distance, and with nothing else", async () => {
  const terrain = await world("flat", () => 40);
  const lone = await cover(engine, terrain, request({ antenna: "round", radiusM: 8000, cpeHeightAglM: 10 }));
  const byDistance = knownCells(lone)
    .map((cell) => ({ cell, distanceM: findGeodesic(MAST, cellPlace(lone.window, cell)).distanceM }))
    .sort((a, b) => a.distanceM - b.distanceM);
  for (const rates of [lone.rateDownMbps, lone.rateUpMbps]) {
    const speeds = new Set(byDistance.map(({ cell }) => rates[cell]));
    expect(speeds.size).toBeGreaterThan(3);
    for (const speed of speeds) {
      const nearestSlower = byDistance.find(({ cell }) => rates[cell] < speed)?.distanceM ?? Number.POSITIVE_INFINITY;
      const farthest = byDistance.findLast(({ cell }) => rates[cell] >= speed)?.distanceM ?? 0;
      // The border of a rate is a circle to within the metre by which map and ellipsoid differ.
      expect(farthest - nearestSlower).toBeLessThan(1);
    }
  }
});
