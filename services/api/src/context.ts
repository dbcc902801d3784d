import type { Compute } from "@fellmark/compute";
import type { JobQueue, JobRef } from "@fellmark/jobs";
import type { Ledger, ObjectStore, ResultStore } from "@fellmark/ledger";
import type { PremisesShelf } from "@fellmark/premises";
import type { Logger } from "pino";
import { type BodyWork, createBodyWork } from "./children/body-work.ts";
import { type AskedAnswers, createPlaceQuestions, type PlaceQuestions } from "./children/place-questions.ts";
import { type AskedCompute, createTerrainQuestions, type TerrainQuestions } from "./children/terrain-questions.ts";
import type { ApiConfig } from "./config.ts";
import { createMetrics, type Metrics } from "./health/metrics.ts";
import { LARGE_BODIES } from "./http/json-body.ts";
import { createSlots, type Slots } from "./http/slots.ts";
import { DEFAULT_TENANT } from "./http/tenant.ts";
import { createJobWatch, type JobWatch } from "./jobs/job-watch.ts";
import { STREAMS } from "./jobs/streams.ts";
import type { Ticker } from "./jobs/ticker.ts";
import { createLayerTiles, type LayerTiles } from "./layers/layer-tiles.ts";

/** Interval at which a followed job is looked at. */
const WATCH_POLL_MS = 100;

/** Parts that the service is built on; tests pass their own. */
export interface ApiResources {
  logger: Logger;
  ledger: Ledger;
  store: ResultStore;
  queue: JobQueue;
  compute: AskedCompute;
  /** The child that answers places: it keeps networks open, and may be busy opening one. */
  answers: AskedAnswers;
  premises: PremisesShelf;
  /** Folder of the lists of premises, and the child that imports them: it is busy for as long as that takes. */
  premisesDir: string;
  imports: Pick<Compute, "importPremises">;
  /** Files of layers, and the child that prepares them. */
  objects: ObjectStore;
  publishing: Pick<Compute, "prepareLayer">;
  /** The child that reads large bodies. */
  readers: Pick<Compute, "workOnBody">;
  ticker: Ticker;
  /** Milliseconds since 1970. */
  now: () => number;
  modelVersion: string;
}

/** Context that every route is a function of. */
export interface ApiContext extends ApiResources {
  config: ApiConfig;
  terrain: TerrainQuestions;
  places: PlaceQuestions;
  bodies: BodyWork;
  layerTiles: LayerTiles;
  watch: JobWatch;
  metrics: Metrics;
  /** Bodies over 1 MB that are held. */
  largeBodies: Slots;
  /** Event streams that are open. */
  streams: Slots;
  /**
   * Hands a job that stands in the ledger to the queue. Never rejects: the row is what was promised, and the
   * reconciler queues again what the queue did not take.
   */
  dispatch: (ref: JobRef) => Promise<void>;
}

export function createContext(config: ApiConfig, resources: ApiResources): ApiContext {
  const { ledger, queue, compute, answers, readers, ticker, logger } = resources;
  return {
    ...resources,
    config,
    terrain: createTerrainQuestions({ compute, terrainDir: config.terrainDir, logger }),
    places: createPlaceQuestions(answers),
    bodies: createBodyWork(readers),
    layerTiles: createLayerTiles(resources.objects),
    watch: createJobWatch({ ledger, ticker, pollMs: WATCH_POLL_MS, logger }),
    largeBodies: createSlots(LARGE_BODIES),
    streams: createSlots(STREAMS),
    metrics: createMetrics(() => ledger.countUnfinished(DEFAULT_TENANT)),
    dispatch: ({ tenant, id }) =>
      queue.enqueue({ tenant, id }).catch((error: unknown) => {
        logger.warn({ err: error, jobId: id }, "left to the reconciler: the queue did not take a job");
      }),
  };
}
