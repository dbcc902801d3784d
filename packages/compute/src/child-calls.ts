import {
  answerFromProfile,
  answerFromTerrain,
  createLossCache,
  createPlanCache,
  createThreadPool,
  type Engine,
  groundHeightAt,
  heardBySectors,
  type SectorNoise,
  type ThreadPool,
} from "@fellmark/coverage";
import { canonicalJson } from "@fellmark/network";
import { openCatalogue, terrainReport } from "@fellmark/terrain";
import type { CallName, Calls } from "./protocol.ts";
import { runAdvise } from "./run-advise.ts";
import { runCover } from "./run-cover.ts";

export type ProgressListener = (progress: number, stage: string) => void;

export type ChildCalls = {
  [Name in CallName]: (args: Calls[Name][0], onProgress: ProgressListener) => Promise<Calls[Name][1]>;
};

const PLAN_CACHE_BYTES = 28 * 2 ** 20;
const LOSS_CACHE_BYTES = 2 * 2 ** 30;

/** Frees the rasters of a coverage that is over, here and in the threads: shared memory is not counted by V8. */
async function releaseMemory(pool: ThreadPool): Promise<void> {
  await pool.runOnAll({ kind: "collect" });
  globalThis.gc?.();
}

/** The calls as the child answers them; threads and plans are kept warm between calls. */
export function createChildCalls(): ChildCalls {
  let engine: Omit<Engine, "losses"> | undefined;
  /** What the sectors of the last answer's request hear: asked again with another place, it is there. */
  let heard: { key: string; noise: SectorNoise[] } | undefined;

  async function warmEngine(threads: number | undefined): Promise<Omit<Engine, "losses">> {
    if (engine && threads !== undefined && engine.pool.size !== threads) {
      await engine.pool.close();
      engine = undefined;
    }
    engine ??= { pool: createThreadPool(threads), plans: createPlanCache(PLAN_CACHE_BYTES) };
    return engine;
  }

  return {
    async cover(task, onProgress) {
      const losses = task.cacheDir === undefined ? {} : { losses: createLossCache(task.cacheDir, LOSS_CACHE_BYTES) };
      const warm = await warmEngine(task.threads);
      try {
        await runCover({ ...warm, ...losses }, task, onProgress);
      } finally {
        // Not waited for: the result is out before the memory is back.
        releaseMemory(warm.pool).catch(() => undefined);
      }
      return null;
    },

    async advise(task, onProgress) {
      const losses = task.cacheDir === undefined ? {} : { losses: createLossCache(task.cacheDir, LOSS_CACHE_BYTES) };
      const warm = await warmEngine(task.threads);
      try {
        await runAdvise({ ...warm, ...losses }, task, onProgress);
      } finally {
        releaseMemory(warm.pool).catch(() => undefined);
      }
      return null;
    },

    async terrainState({ terrainDir }) {
      const catalogue = await openCatalogue(terrainDir);
      return { fingerprint: catalogue.fingerprint, tiles: catalogue.files.length, refused: catalogue.refused };
    },

    async answer({ request, at, terrainDir, profile }) {
      if (profile) return answerFromProfile(request, profile, at);
      if (at === null || terrainDir === undefined)
        throw new TypeError("an answer needs a place and terrain, or a profile");
      const catalogue = await openCatalogue(terrainDir);
      const key = canonicalJson([catalogue.fingerprint, request]);
      if (heard?.key !== key)
        heard = { key, noise: await heardBySectors(await warmEngine(undefined), catalogue, request) };
      return answerFromTerrain(catalogue, request, at, heard.noise);
    },

    terrainReport: async ({ terrainDir }) => terrainReport(await openCatalogue(terrainDir)),

    async groundHeights({ terrainDir, sets, points }) {
      const catalogue = await openCatalogue(terrainDir);
      const heights: (number | null)[] = [];
      for (const point of points) {
        const heightM = await groundHeightAt(catalogue, sets, point);
        heights.push(Number.isNaN(heightM) ? null : heightM);
      }
      return heights;
    },
  };
}
