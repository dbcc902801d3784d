import type { Compute, TerrainQuestion, TerrainState } from "@fellmark/compute";
import type { Finding, TerrainFacts } from "@fellmark/network";
import { FellmarkError, type FieldProblem, InputError, TerrainError, TransientError } from "@fellmark/units";
import type { Logger } from "pino";
import { answerWithin, NO_ANSWER } from "./answer-within.ts";

/** Longest wait of readiness, and of findings that do not need the ground. */
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
export type AskedCompute = Pick<Compute, "terrainState" | "terrainFacts" | "antennaReport">;

/** The quick questions about terrain that the API asks its resident compute child. */
export interface TerrainQuestions {
  /**
   * Catalogue version of the terrain as it is now: an earlier one stands in for nothing.
   * Throws TerrainError when there is no usable terrain, TransientError 'terrain_not_ready' without an answer.
   */
  fingerprint(): Promise<string>;
  /**
   * Returns the slips in a coverage. Throws InputError for sets of elevation or clutter that do not fit, `mast_not_known`
   * for sites on ground that is not known. Throws TransientError 'terrain_not_ready' without an answer, and where a
   * raster that cannot be used, such as one that is being copied, may hold that ground.
   */
  checkMasts(coverage: CheckedCoverage): Promise<Finding[]>;
  /** Values of a coverage that look like slips; fewer where the terrain does not reply. */
  findSlips(coverage: CheckedCoverage): Promise<Finding[]>;
  /** Facts that a network is checked against; undefined where the child does not reply. Never rejects. */
  readFacts(question: TerrainQuestion): Promise<TerrainFacts | undefined>;
  /** Rejects with TransientError unless the child replies. */
  check(): Promise<void>;
}

/** A coverage whose masts are checked. */
export interface CheckedCoverage {
  question: TerrainQuestion;
  /** JSON pointer of the coverage in the body that was sent. */
  at: string;
  /** Finds the slips in it, more with the facts of the terrain; their pointers are those of the coverage. */
  findSlips(facts: TerrainFacts | undefined): Promise<Finding[]>;
}

export interface TerrainQuestionsOptions {
  compute: AskedCompute;
  terrainDir: string;
  logger: Logger;
  /** Longest wait of a caller for the compute child: a fresh one reads the whole catalogue first. */
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

  const askFacts = (question: TerrainQuestion) => compute.terrainFacts(terrainDir, question, limits);

  async function readFacts(question: TerrainQuestion): Promise<TerrainFacts | undefined> {
    try {
      const facts = await patiently(askFacts(question), SHORT_PATIENCE_MS);
      return facts === NO_ANSWER ? undefined : facts;
    } catch (error) {
      logger.warn({ err: error }, "the ground under a network is not known");
      return undefined;
    }
  }

  return {
    fingerprint: async () => (await requireAnswer(askState())).fingerprint,
    async checkMasts({ question, at, findSlips }) {
      const facts = await requireAnswer(askFacts(question));
      const slips = movePointers(await findSlips(facts), at);
      const problems = facts.groundAmslM.flatMap((heightM, index) =>
        heightM === null ? [wordUnknownGround(slips, `${at}/sites/${index}`)] : [],
      );
      if (problems.length === 0) return slips;
      const { refused } = await requireAnswer(askState());
      const [unusable] = refused.filter(({ name }) => RASTER_NAME.test(name));
      if (unusable) throw new TransientError("terrain_not_ready", `terrain file ${unusable.name} cannot be used`);
      throw new InputError(problems, "mast_not_known");
    },
    findSlips: async ({ question, at, findSlips }) => movePointers(await findSlips(await readFacts(question)), at),
    readFacts,
    async check() {
      if ((await patiently(askState(), SHORT_PATIENCE_MS)) !== NO_ANSWER) return;
      throw new TransientError("compute_not_ready", "the compute child does not answer");
    },
  };
}

function movePointers(slips: readonly Finding[], below: string): Finding[] {
  return slips.map((slip) => ({ ...slip, pointer: `${below}${slip.pointer}` }));
}

/** The site at fault, with what it probably is: outside the terrain, swapped, in a void. */
function wordUnknownGround(slips: readonly Finding[], pointer: string): FieldProblem {
  const slip = slips.find((one) => one.pointer === pointer && one.severity === "error");
  const reason = slip ? `: ${slip.detail}; ${slip.likelyCause}; ${slip.suggestion}` : "";
  return { pointer, detail: `the ground height of this site is not known${reason}` };
}
