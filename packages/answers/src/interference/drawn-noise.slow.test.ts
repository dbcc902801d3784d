import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { createPlanCache, createThreadPool } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createTempDir } from "@fellmark/testkit";
import { expect, it } from "vitest";
import { prepareAnswers } from "../scene/prepare-answers.ts";
import { buildRowRequest, createHills } from "../scene/testing/hilly-scene.ts";

const SIDE = 1201;

/** Hills of a seed on a 3" tile. */
function tile(seed: number): Buffer {
  const heightAt = createHills(seed);
  const cells = Buffer.alloc(2 * SIDE * SIDE);
  for (let cell = 0; cell < SIDE * SIDE; cell++) {
    const [column, row] = [cell % SIDE, Math.floor(cell / SIDE)];
    cells.writeInt16BE(Math.round(heightAt(-31 + column / 1200, 13 - row / 1200)), 2 * cell);
  }
  return cells;
}

it("gives by drawn subscribers the noise that sweeps from every mast give: on average within 1 dB, at most 3 dB off", async () => {
  const dir = createTempDir();
  const pool = createThreadPool(2);
  try {
    writeFileSync(join(dir.path, "N12W031.hgt"), tile(6));
    const catalogue = await openCatalogue(dir.path);
    const sites = [0, 1, 2, 3].map((index) => ({ id: `m${index}`, lon: -30.6 + 0.05 * index, lat: 12.5 }));
    const request = buildRowRequest({ masts: 4, sites });
    const engine = { pool, plans: createPlanCache(2 ** 26) };
    const swept = await prepareAnswers(engine, catalogue, request);
    const drawn = await prepareAnswers(engine, catalogue, request, { drawn: true });
    const apartDb = request.sectors.map((_, victim) => drawn.noise(victim).meanDbm - swept.noise(victim).meanDbm);
    const risesDb = request.sectors.map((_, victim) => swept.noise(victim).meanDbm + 95);
    const mean = apartDb.reduce((sum, db) => sum + db, 0) / apartDb.length;
    console.info(
      `noise risen by up to ${Math.max(...risesDb).toFixed(1)} dB; drawn against swept: ${mean.toFixed(2)} dB on average, ` +
        `${Math.min(...apartDb).toFixed(2)} to ${Math.max(...apartDb).toFixed(2)}`,
    );
    expect(Math.max(...risesDb)).toBeGreaterThan(1);
    expect(Math.abs(mean)).toBeLessThan(1);
    expect(Math.max(...apartDb.map(Math.abs))).toBeLessThan(3);
  } finally {
    await pool.close();
    dir.remove();
  }
});
