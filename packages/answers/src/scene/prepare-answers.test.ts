import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { findGeodesicPoint } from "@fellmark/geodesy";
import { createPlanCache } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createInlinePool, createTempDir } from "@fellmark/testkit";
import { toDb } from "@fellmark/units";
import { afterAll, describe, expect, it } from "vitest";
import { answerPoint } from "../place/answer.ts";
import { answerMany } from "../place/answer-many.ts";
import { findView } from "./cpe-view.ts";
import { prepareAnswers } from "./prepare-answers.ts";
import { buildRowRequest } from "./testing/hilly-scene.ts";

const SIDE = 1201;

/** A 3" tile of low swells about 100 m, so that every mast is in sight of the others. */
function buildTile(): Buffer {
  const cells = Buffer.alloc(2 * SIDE * SIDE);
  for (let cell = 0; cell < SIDE * SIDE; cell++) {
    const [column, row] = [cell % SIDE, Math.floor(cell / SIDE)];
    cells.writeInt16BE(Math.round(100 + 4 * Math.sin(column / 9) * Math.cos(row / 11)), 2 * cell);
  }
  return cells;
}

const folder = createTempDir();
writeFileSync(join(folder.path, "N12W031.hgt"), buildTile());
const catalogue = await openCatalogue(folder.path);
afterAll(() => folder.remove());
const engine = { pool: createInlinePool(), plans: createPlanCache(2 ** 22) };

const FIRST = { lon: -30.5, lat: 12.5 };
const sites = [0, 1, 2].map((index) => ({ id: `m${index}`, ...findGeodesicPoint(FIRST, 90, 1800 * index) }));
const request = buildRowRequest({ masts: 3, sites, area: { radiusM: 2000, zoom: 11 } });

const swept = await prepareAnswers(engine, catalogue, request);
const drawn = await prepareAnswers(engine, catalogue, request, { drawn: true, warm: true });
const victims = [...request.sectors.keys()];

describe("noise at the sectors of a scene", () => {
  it("is by drawn subscribers what it is by sweeps: within 1 dB on average, 3 dB at most", () => {
    const apartDb = victims.map((victim) => drawn.noise(victim).meanDbm - swept.noise(victim).meanDbm);
    const meanDb = apartDb.reduce((sum, db) => sum + db, 0) / apartDb.length;
    expect(Math.abs(meanDb)).toBeLessThan(1);
    expect(Math.max(...apartDb.map(Math.abs))).toBeLessThan(3);
    const subscribersMw = (victim: number) => swept.noise(victim).causes.subscribersMw;
    const shares = victims.map((victim) => subscribersMw(victim) / swept.noise(victim).causes.thermalMw);
    expect(Math.max(...shares)).toBeGreaterThan(0.5);
  });

  it("is that which is known already, without a sweep", async () => {
    const known = victims.map((victim) => ({ ...swept.noise(victim), meanDbm: -50 - victim }));
    const told = await prepareAnswers(engine, catalogue, request, { noise: known });
    expect(victims.map((victim) => told.noise(victim).meanDbm)).toEqual(known.map(({ meanDbm }) => meanDbm));
  });

  it("is drawn for more than four senders, emitters counted", async () => {
    const emitters = [0, 1].map((index) => ({
      ...{ id: `e${index}`, ...findGeodesicPoint(FIRST, 30 * index, 4000), heightAglM: 10, eirpDbm: 20 },
      channel: { centreMhz: 5600, widthMhz: 20 },
    }));
    const many = await prepareAnswers(engine, catalogue, {
      ...request,
      ...buildRowRequest({ sites, emitters, masts: 3 }),
    });
    expect(many.terrain?.data.noise).toBeNull();
    expect(swept.terrain?.data.noise).toHaveLength(9);
  });
});

describe("the ground of a scene", () => {
  it("reaches emitters that count, 80 km and the radius from a site, and no farther", async () => {
    const emitterAt = (distanceM: number) => ({
      ...{ id: "e", ...findGeodesicPoint(FIRST, 180, distanceM), heightAglM: 10, eirpDbm: 20 },
      channel: { centreMhz: 5600, widthMhz: 20 },
    });
    const southOf = async (distanceM: number) => {
      const beside = buildRowRequest({
        sites,
        masts: 3,
        area: { radiusM: 2000, zoom: 11 },
        emitters: [emitterAt(distanceM)],
      });
      const scene = await prepareAnswers(engine, catalogue, beside, { drawn: true });
      return scene.terrain?.data.ground.mosaic.bbox[1] ?? Number.NaN;
    };
    // 2,000 m are 0.018 degrees, and 0.03 more.
    expect(await southOf(20_000)).toBeCloseTo(12.5 - 20_000 / 110_600 - 0.048, 2);
    expect(await southOf(81_500)).toBeCloseTo(12.5 - 81_500 / 110_600 - 0.048, 2);
    expect(await southOf(82_500)).toBeCloseTo(12.5 - 0.048, 2);
  });

  it("warms what is kept by sector", () => {
    const { senders } = findView(drawn);
    expect(senders).toHaveLength(9);
    for (const { levelGain } of senders) expect(toDb(levelGain(0))).toBeLessThan(20);
  });
});

describe("answers of many places", () => {
  const places = Array.from({ length: 37 }, (_, index) => ({
    at: findGeodesicPoint(FIRST, 47 * index, 60 * index),
    question: { heightAglM: 4 + (index % 5) },
  }));

  it("are those of each by itself, in their order, with the best link alone", async () => {
    const answers = await answerMany(engine, swept, places);
    expect(answers).toHaveLength(37);
    for (const [index, { at, question }] of places.entries()) {
      expect(answers[index]).toEqual(await answerPoint(swept, at, { ...question, links: 1 }));
    }
    expect(new Set(answers.map(({ verdict }) => verdict)).size).toBeGreaterThan(1);
    expect(Math.max(...answers.map(({ links }) => links.length))).toBe(1);
  });

  it("are none of none, and refuse a question by its first place", async () => {
    expect(await answerMany(engine, swept, [])).toEqual([]);
    const wrong = [{ at: FIRST, question: { plan: "unknown" } }];
    await expect(answerMany(engine, swept, wrong)).rejects.toMatchObject({ code: "invalid_input" });
  });

  it("tell a place out of range from one whose ground is not known", async () => {
    const far = [findGeodesicPoint(FIRST, 0, 20_000), { lon: -20, lat: 12.5 }].map((at) => ({ at }));
    const answers = await answerMany(engine, swept, far);
    expect(answers.map(({ verdict }) => verdict)).toEqual(["not-serviceable", "not-known"]);
  });
});
