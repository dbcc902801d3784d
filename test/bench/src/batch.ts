import { existsSync } from "node:fs";
import { join } from "node:path";
import { isDeepStrictEqual } from "node:util";
import { type Answer, answerMany, answerPoint, prepareAnswers } from "@fellmark/answers";
import { parseCoverageRequest } from "@fellmark/network";
import { createPlanCache, createThreadPool } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createTempDir } from "@fellmark/testkit";
import { drawnPlaces, TILE, threeSites, writeFineTile } from "./answer-scene.ts";
import { type Bench, type BenchResult, measure } from "./report.ts";

const PREMISES = 10_000;
const CHECKED = 50;
const RUNS = 5;
const WARM_UPS = 2;
const TARGET = 2000;

/**
 * Premises within 10 km of three sites with nine sectors: of each the verdict, its best link with all interference, and
 * the least height for every plan, on two threads.
 */
export const batchBench: Bench = async ({ terrainDir, seed }) => {
  if (!existsSync(join(terrainDir, TILE.name)))
    return { results: [], skipped: [{ id: "batch", reason: `no ${TILE.name}` }] };
  const terrain = createTempDir("fellmark-bench-");
  writeFineTile(terrainDir, terrain.path);
  const pool = createThreadPool(2);
  try {
    return { results: [await batchRow(terrain.path, { pool, plans: createPlanCache(2 ** 27) }, seed)], skipped: [] };
  } finally {
    await pool.close();
    terrain.remove();
  }
};

async function batchRow(
  terrainDir: string,
  engine: Parameters<typeof prepareAnswers>[0],
  seed: number,
): Promise<BenchResult> {
  const scene = await prepareAnswers(engine, await openCatalogue(terrainDir), parseCoverageRequest(threeSites()));
  const places = drawnPlaces(PREMISES, [-71.5, 44.43, -71.34, 44.58], seed).map((at) => ({ at }));
  let answers: Answer[] = [];
  const { median, min, max } = await measure(RUNS, WARM_UPS, async () => {
    answers = await answerMany(engine, scene, places);
  });
  let different = 0;
  for (let index = 0; index < PREMISES; index += PREMISES / CHECKED) {
    const alone = await answerPoint(scene, places[index].at, { links: 1 });
    if (!isDeepStrictEqual(JSON.parse(JSON.stringify(alone)), JSON.parse(JSON.stringify(answers[index])))) different++;
  }
  const value = PREMISES / median;
  const check = { what: "answers that differ when asked alone", value: different, limit: 0, pass: different === 0 };
  const range = { min: PREMISES / max, max: PREMISES / min };
  return { id: "batch", value, unit: "premises/s", n: RUNS, ...range, target: TARGET, pass: value >= TARGET, check };
}
