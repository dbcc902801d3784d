import type { Compute, TerrainState } from "@fellmark/compute";
import type { CoverageRequest } from "@fellmark/network";
import { FellmarkError, type FieldProblem, InputError, TerrainError, TransientError } from "@fellmark/units";
import type { Logger } from "pino";
import { answerWithin, NO_ANSWER } from "./answer-within.ts";

/** How long readiness, and findings that can do without the ground, wait. */
const SHORT_PATIENCE_MS = 500;

/** The child's own deadline: past it the child is killed. Wide, as a child that just started has files to open. */
const CHILD_DEADLINE_MS = 30_000;

/** Codes of calls that brought no answer; every other one is the child's word on the terrain or the request. */
const UNANSWERED = new Set(["timeout", "memory", "worker_killed", "cancelled", "recycled", "internal_error"]);

/** Files that are meant to be terrain: others in the folder are no fault. */
const RASTER_NAME = /\.(hgt|hgt\.zip|tiff?)$/i;

/** Codes of faults of the terrain that pass: they say nothing about the request. */
const PASSING = new Set(["source_changed", "raster_unreadable", "storage_failed"]);

/** The calls of the compute child that the API makes. */
export type AskedCompute = Pick<Compute, "terrainState" | "groundHeights" | "antennaReport">;

/** The parts of a request that terrain must answer for. */
type GroundQuestion = Pick<CoverageRequest, "sites" | "terrain" | "model">;

/** The quick questions about terrain that the API asks its resident compute child. */
export interface TerrainQuestions {
  /**
   * Catalogue version of the terrain as it is now: an earlier one stands in for nothing.
   * Throws TerrainError when there is no usable terrain, TransientError 'terrain_not_ready' without an answer.
   */
  fingerprint(): Promise<string>;
  /**
   * Throws InputError for sets of elevation or clutter that do not fit, `mast_not_known` for sites on ground that is not
   * known. Throws TransientError 'terrain_not_ready' without an answer, and where a raster that cannot be used, such as
   * one that is being copied, may hold that ground.
   * @param at JSON pointer of the request in the body that was sent.
   */
  refuseUnknownMasts(request: CoverageRequest, at?: string): Promise<void>;
  /** Ground height of each site, metres, null where it is not known; undefined when there is no answer. Never rejects. */
  groundOf(network: GroundQuestion): Promise<(number | null)[] | undefined>;
  /** Rejects with TransientError unless the child replies. */
  check(): Promise<void>;
}

export interface TerrainQuestionsOptions {
  compute: AskedCompute;
  terrainDir: string;
  logger: Logger;
  /** How long a caller waits for the compute child: a fresh one reads the whole catalogue first. */
  patienceMs?: number;
}

export function createTerrainQuestions(options: TerrainQuestionsOptions): TerrainQuestions {
  const { compute, terrainDir, logger, patienceMs = 10_000 } = options;
  const limits = { deadlineMs: CHILD_DEADLINE_MS };
  let asking: Promise<TerrainState> | undefined;

  /** One question at a time, shared by all who ask meanwhile. */
  function askState(): Promise<TerrainState> {
    asking ??= compute.terrainState(terrainDir, limits).finally(() => {
      asking = undefined;
    });
    return asking;
  }

  async function requireAnswer<T>(work: Promise<T>): Promise<T> {
    const answer = await patiently(work, patienceMs);
    if (answer === NO_ANSWER) throw new TransientError("terrain_not_ready", "the terrain is not read yet");
    return answer;
  }

  /** The answer in time, or NO_ANSWER; only what the input or the terrain is to blame for comes back as an error. */
  async function patiently<T>(work: Promise<T>, limitMs: number): Promise<T | typeof NO_ANSWER> {
    try {
      return await answerWithin(work, limitMs);
    } catch (error) {
      if (error instanceof InputError) throw error;
      if (error instanceof FellmarkError && PASSING.has(error.code)) {
        throw new TransientError(error.code, error.message, { cause: error });
      }
      // The class of an error does not come over the process boundary, its code does.
      if (error instanceof FellmarkError && !UNANSWERED.has(error.code)) {
        throw new TerrainError(error.code, error.message, { cause: error });
      }
      logger.warn({ err: error }, "the compute child failed to answer");
      return NO_ANSWER;
    }
  }

  function askGround({ sites, terrain, model: { clutter } }: GroundQuestion) {
    const points = sites.map(({ lon, lat }) => ({ lon, lat }));
    const ground = { sets: terrain.sets, ...("class" in clutter ? {} : { clutter }) };
    return compute.groundHeights(terrainDir, ground, points, limits);
  }

  return {
    fingerprint: async () => (await requireAnswer(askState())).fingerprint,
    async refuseUnknownMasts(request, at = "") {
      const heights = await requireAnswer(askGround(request));
      const problems = heights.flatMap((height, index) => (height === null ? [unknownGround(at, index)] : []));
      if (problems.length === 0) return;
      const { refused } = await requireAnswer(askState());
      const [unusable] = refused.filter(({ name }) => RASTER_NAME.test(name));
      if (unusable) throw new TransientError("terrain_not_ready", `terrain file ${unusable.name} cannot be used`);
      throw new InputError(problems, "mast_not_known");
    },
    async groundOf(network) {
      try {
        const heights = await patiently(askGround(network), SHORT_PATIENCE_MS);
        return heights === NO_ANSWER ? undefined : heights;
      } catch (error) {
        logger.warn({ err: error }, "the ground under a network is not known");
        return undefined;
      }
    },
    async check() {
      if ((await patiently(askState(), SHORT_PATIENCE_MS)) !== NO_ANSWER) return;
      throw new TransientError("compute_not_ready", "the compute child does not answer");
    },
  };
}

function unknownGround(at: string, index: number): FieldProblem {
  return { pointer: `${at}/sites/${index}`, detail: "the ground height of this site is not known" };
}
