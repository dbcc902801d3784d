import type { Compute } from "@fellmark/compute";
import type { CoverageRequest } from "@fellmark/network";
import { FellmarkError, type FieldProblem, InputError, TerrainError, TransientError } from "@fellmark/units";
import type { Logger } from "pino";
import { answerWithin, NO_ANSWER } from "./answer-within.ts";

/** How long a caller waits for the compute child before the request goes on without its answer. */
const PATIENCE_MS = 500;

/** The same for the first answer of all, for which a fresh child reads the whole catalogue. */
const FIRST_PATIENCE_MS = 10_000;

/** The child's own deadline: past it the child is killed. Wide, as a child that just started has files to open. */
const CHILD_DEADLINE_MS = 30_000;

/** Codes of calls that brought no answer; every other one is the child's word on the terrain or the request. */
const UNANSWERED = new Set(["timeout", "memory", "worker_killed", "cancelled", "recycled", "internal_error"]);

/** The calls of the compute child that the API makes. */
export type AskedCompute = Pick<Compute, "terrainState" | "groundHeights" | "antennaReport">;

/** The parts of a request that terrain must answer for. */
type GroundQuestion = Pick<CoverageRequest, "sites" | "terrain" | "model">;

/** The quick questions about terrain that the API asks its resident compute child. */
export interface TerrainQuestions {
  /**
   * Catalogue version of the terrain; the last one known when the child does not reply.
   * Throws TerrainError when there is no usable terrain, TransientError when nothing is known yet.
   */
  fingerprint(): Promise<string>;
  /**
   * Throws InputError for sets of elevation or clutter that do not fit, `mast_not_known` for sites on ground that is not
   * known; accepts when the child does not reply.
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
}

export function createTerrainQuestions(options: TerrainQuestionsOptions): TerrainQuestions {
  const { compute, terrainDir, logger } = options;
  const limits = { deadlineMs: CHILD_DEADLINE_MS };
  let lastFingerprint: string | undefined;
  let asking: Promise<string> | undefined;

  /** One question at a time, shared by all who ask meanwhile. */
  function askFingerprint(): Promise<string> {
    asking ??= compute
      .terrainState(terrainDir, limits)
      .then(({ fingerprint }) => {
        lastFingerprint = fingerprint;
        return fingerprint;
      })
      .finally(() => {
        asking = undefined;
      });
    return asking;
  }

  /** The answer in time, or NO_ANSWER; only what the input or the terrain is to blame for comes back as an error. */
  async function patiently<T>(work: Promise<T>, patienceMs = PATIENCE_MS): Promise<T | typeof NO_ANSWER> {
    try {
      return await answerWithin(work, patienceMs);
    } catch (error) {
      if (error instanceof InputError) throw error;
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
    return patiently(compute.groundHeights(terrainDir, ground, points, limits));
  }

  return {
    async fingerprint() {
      const answer = await patiently(askFingerprint(), lastFingerprint === undefined ? FIRST_PATIENCE_MS : PATIENCE_MS);
      const fingerprint = answer === NO_ANSWER ? lastFingerprint : answer;
      if (fingerprint === undefined) throw new TransientError("terrain_not_ready", "the terrain is not read yet");
      return fingerprint;
    },
    async refuseUnknownMasts(request, at = "") {
      const heights = await askGround(request);
      if (heights === NO_ANSWER) return;
      const problems = heights.flatMap((height, index) => (height === null ? [unknownGround(at, index)] : []));
      if (problems.length > 0) throw new InputError(problems, "mast_not_known");
    },
    async groundOf(network) {
      try {
        const heights = await askGround(network);
        return heights === NO_ANSWER ? undefined : heights;
      } catch (error) {
        logger.warn({ err: error }, "the ground under a network is not known");
        return undefined;
      }
    },
    async check() {
      if ((await patiently(askFingerprint())) !== NO_ANSWER) return;
      throw new TransientError("compute_not_ready", "the compute child does not answer");
    },
  };
}

function unknownGround(at: string, index: number): FieldProblem {
  return { pointer: `${at}/sites/${index}`, detail: "the ground height of this site is not known" };
}
