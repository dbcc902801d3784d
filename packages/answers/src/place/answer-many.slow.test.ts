import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createThreadPool, type ThreadPool } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { afterAll, beforeAll, expect, it } from "vitest";
import { prepareAnswers } from "../scene/prepare-answers.ts";
import type { AnswerScene } from "../scene/scene.ts";
import { buildRowRequest, createHills, drawPlaces, MAST } from "../scene/testing/hilly-scene.ts";
import { answerPoint } from "./answer.ts";
import { answerMany } from "./answer-many.ts";

const SIDE = 1201;

let dir: string;
let pool: ThreadPool;
let scene: AnswerScene;
beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), "fellmark-answers-"));
  writeTile(dir);
  pool = createThreadPool(2);
  const request = buildRowRequest({ masts: 2, sites: [siteAt("m0", 0), siteAt("m1", 0.04)] });
  const catalogue = await openCatalogue(dir);
  scene = await prepareAnswers({ pool, plans: { get: (_, plan) => plan() } }, catalogue, request, { drawn: true });
});
afterAll(async () => {
  await pool.close();
  rmSync(dir, { recursive: true });
});

/** Hills on the 3" tile around the mast, void in its south-west corner. */
function writeTile(into: string): void {
  const heightAt = createHills(5);
  const cells = Buffer.alloc(2 * SIDE * SIDE);
  for (let row = 0; row < SIDE; row++) {
    for (let column = 0; column < SIDE; column++) {
      const isVoid = row > 1000 && column < 200;
      const heightM = isVoid ? -32768 : Math.round(heightAt(-31 + column / 1200, 13 - row / 1200));
      cells.writeInt16BE(heightM, 2 * (row * SIDE + column));
    }
  }
  writeFileSync(join(into, "N12W031.hgt"), cells);
}

const CENTRE = { lon: MAST.lon - 0.5, lat: MAST.lat + 0.5 };
const siteAt = (id: string, east: number) => ({ id, lon: CENTRE.lon + east, lat: CENTRE.lat });

it("gives what asking one by one gives, in the order of the places, also out of range and off the terrain", async () => {
  const around = drawPlaces(150, 14_000, 4).map(({ lon, lat }) => ({ lon: lon - 0.5, lat: lat + 0.5 }));
  const off = { lon: -33, lat: 12.5 };
  const places = [...around, off, CENTRE].map((at, index) => ({
    at,
    question: { links: 2, ...(index % 3 === 0 && { heightAglM: 6 }) },
  }));
  const together = await answerMany({ pool }, scene, places);
  const alone = [];
  for (const { at, question } of places) alone.push(await answerPoint(scene, at, question));
  expect(together).toEqual(alone);
  expect(new Set(alone.map(({ verdict }) => verdict)).size).toBeGreaterThan(2);
  expect(alone[150].verdict).toBe("not-known");
});

it("refuses a question by its field", async () => {
  const asked = [{ at: CENTRE, question: { plan: "none" } }];
  await expect(answerMany({ pool }, scene, asked)).rejects.toMatchObject({ problems: [{ pointer: "/plan" }] });
});
