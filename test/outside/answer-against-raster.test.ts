import { join } from "node:path";
import { answerAt, type Engine, prepareAnswers } from "@fellmark/coverage";
import { parseCoverageRequest } from "@fellmark/network";
import { openCatalogue } from "@fellmark/terrain";
import { needsShared, seededRandom, sharedDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { cellPlace, cover, createEngine, knownCells } from "./covered.ts";

const CELLS = 300;
const LEAST_AGREEMENT = 0.93;

const channel = { centreMhz: 5600, widthMhz: 20 };
const sector = { site: "s", antenna: "element", radio: "r", heightAglM: 30, downtiltDeg: 2, powerDbm: 30 };
const request = parseCoverageRequest({
  version: 1,
  area: { radiusM: 8000, zoom: 12 },
  model: { clutter: { class: "open" } },
  sites: [{ id: "s", lon: -71.8117, lat: 44.4808 }],
  antennas: [
    { id: "element", kind: "tr38901" },
    { id: "kit", kind: "isotropic", gainDbi: 25 },
  ],
  radios: [{ id: "r", table: "802.11ax" }],
  sectors: [
    { ...sector, id: "n", azimuthDeg: 0, channel },
    { ...sector, id: "e", azimuthDeg: 120, channel: { ...channel, centreMhz: 5680 } },
    { ...sector, id: "w", azimuthDeg: 240, channel: { ...channel, centreMhz: 5640 } },
  ],
  kit: { heightAglM: 6, antenna: "kit", radio: "r", powerDbm: 27 },
  plans: [
    { id: "p60", downMbps: 60, upMbps: 10 },
    { id: "p15", downMbps: 15, upMbps: 3 },
  ],
});

describe.skipIf(!needsShared())("on the real tile N44W072", () => {
  let engine: Engine;
  beforeAll(() => {
    engine = createEngine();
  });
  afterAll(() => engine.pool.close());

  test(`the raster has the plan of the answer at ${100 * LEAST_AGREEMENT} % of random cells`, async () => {
    const catalogue = await openCatalogue(join(sharedDir, "terrain/dem"));
    const covered = await cover(engine, catalogue, request);
    const scene = await prepareAnswers(engine, catalogue, request);
    const known = knownCells(covered);
    const random = seededRandom(7);
    const plans = new Map<string, number>();
    let equal = 0;
    const differencesDb: number[] = [];
    for (let count = 0; count < CELLS; count++) {
      const cell = known[Math.floor(random() * known.length)];
      const answer = await answerAt(scene, cellPlace(covered.window, cell));
      const plan = request.plans[covered.tier[cell] - 1]?.id ?? null;
      plans.set(String(plan), (plans.get(String(plan)) ?? 0) + 1);
      if (plan === answer.plan) equal++;
      const signalDbm = answer.links[0].down.find(({ term }) => term === "signal")?.db ?? Number.NaN;
      differencesDb.push(Math.abs(signalDbm - covered.signalDownDbm[cell]));
    }
    differencesDb.sort((a, b) => a - b);
    const at = (share: number) => differencesDb[Math.ceil(share * CELLS) - 1].toFixed(2);
    console.info(
      `${CELLS} cells, ${JSON.stringify(Object.fromEntries(plans))}: the same plan at ${((100 * equal) / CELLS).toFixed(1)} %, ` +
        `signal differs by ${at(0.5)} dB (median), ${at(0.95)} (95 %), ${at(1)} at worst`,
    );
    expect(plans.size).toBe(3);
    expect(equal / CELLS).toBeGreaterThanOrEqual(LEAST_AGREEMENT);
  });
});
