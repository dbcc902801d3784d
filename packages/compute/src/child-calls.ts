import { createLossCache, type Engine, type LossCacheLimits } from "@fellmark/coverage";
import { importPremises } from "@fellmark/premises";
import { createPlanCache, createThreadPool, type ThreadPool } from "@fellmark/sweep";
import { openCatalogue, reportTerrain } from "@fellmark/terrain";
import { createAnsweringNetworks } from "./answering-networks.ts";
import { runBatch } from "./batch/run-batch.ts";
import { BODY_WORK } from "./bodies/body-calls.ts";
import type { CoverTask } from "./job-tasks.ts";
import { createPlaceCalls } from "./place-calls.ts";
import { prepareLayer } from "./prepare-layer.ts";
import type { ProgressListener } from "./progress-listener.ts";
import type { CallName, Calls } from "./protocol.ts";
import { reportAntennas } from "./report-antennas.ts";
import { runAdvise } from "./run-advise.ts";
import { runCompare } from "./run-compare.ts";
import { runCover } from "./run-cover.ts";
import { readTerrainFacts } from "./terrain-facts.ts";

export type ChildCalls = {
  [Name in CallName]: (args: Calls[Name][0], onProgress: ProgressListener) => Promise<Calls[Name][1]>;
};

const PLAN_CACHE_BYTES = 12 * 2 ** 20;
const LOSS_CACHE: LossCacheLimits = { maxBytes: 2 * 2 ** 30 };

/** Frees the rasters of a coverage that is over, here and in the threads: shared memory is not counted by V8. */
async function releaseMemory(pool: ThreadPool): Promise<void> {
  await pool.collect();
  globalThis.gc?.();
}

/** The calls as the child answers them; threads and plans are kept warm between calls. */
export function createChildCalls(): ChildCalls {
  let engine: Omit<Engine, "losses"> | undefined;
  async function warmEngine(threads: number | undefined): Promise<Omit<Engine, "losses">> {
    if (engine && threads !== undefined && engine.pool.size !== threads) {
      await engine.pool.close();
      engine = undefined;
    }
    engine ??= { pool: createThreadPool(threads), plans: createPlanCache(PLAN_CACHE_BYTES) };
    return engine;
  }

  /** Heavy work with what is warm and the loss cache of its task. */
  async function withEngine<T>(task: Omit<CoverTask, "request">, work: (engine: Engine) => Promise<T>): Promise<T> {
    const losses =
      task.cacheDir === undefined ? {} : { losses: createLossCache(task.cacheDir, task.cacheLimits ?? LOSS_CACHE) };
    const warm = await warmEngine(task.threads);
    try {
      return await work({ ...warm, ...losses });
    } finally {
      // Not waited for: the result is out before the memory is back.
      releaseMemory(warm.pool).catch(() => undefined);
    }
  }

  return {
    ...BODY_WORK,
    ...createPlaceCalls(createAnsweringNetworks(() => warmEngine(undefined))),

    cover: (task, onProgress) => withEngine(task, (warm) => runCover(warm, task, onProgress)),
    compare: (task, onProgress) => withEngine(task, (warm) => runCompare(warm, task, onProgress)),
    advise: (task, onProgress) => withEngine(task, (warm) => runAdvise(warm, task, onProgress)),

    batch: (task, onProgress) => withEngine(task, (warm) => runBatch(warm, task, onProgress)),

    async terrainState({ terrainDir }) {
      const catalogue = await openCatalogue(terrainDir);
      return { fingerprint: catalogue.fingerprint, tiles: catalogue.files.length, refused: catalogue.refused };
    },

    importPremises: ({ premisesDir: dir, tenant, file, ...options }, onProgress) =>
      importPremises({ dir, tenant }, file, { ...options, onProgress: (share) => onProgress(share, "premises") }),

    prepareLayer,

    antennaReport: async (task) => reportAntennas(task),

    terrainReport: async ({ terrainDir }) => reportTerrain(await openCatalogue(terrainDir)),

    terrainFacts: async ({ terrainDir, question }) => readTerrainFacts(await openCatalogue(terrainDir), question),
  };
}
