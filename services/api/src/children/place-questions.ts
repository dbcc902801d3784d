import type { CallLimits, Compute } from "@fellmark/compute";
import { FellmarkError, InputError, TerrainError, TransientError } from "@fellmark/units";
import { answerWithin, NO_ANSWER } from "./answer-within.ts";

/** The calls of the answering child that the API makes. */
export type AskedAnswers = Pick<Compute, "serviceability" | "install" | "calibration" | "draw">;

/** How long a caller waits: a network that nobody has asked for a while is opened first. */
const PATIENCE_MS = 10_000;

/** The child's own deadline, past which it is killed: wide, as opening a large network takes long. */
const CHILD_DEADLINE_MS = 300_000;

/** Callers that wait at a time; more are sent away. */
const MAX_WAITING = 32;

/** Codes of calls that the child did not come to answer: another try may. */
const LOST = new Set(["timeout", "memory", "worker_killed", "cancelled", "recycled"]);

/** Asks the resident child that answers places. */
export interface PlaceQuestions {
  /**
   * The reply to a call. Throws TransientError while too many wait or the network is being opened, and what the child
   * throws: InputError, TerrainError.
   */
  ask<T>(call: (answers: AskedAnswers, limits: CallLimits) => Promise<T>, patienceMs?: number): Promise<T>;
}

export function createPlaceQuestions(answers: AskedAnswers): PlaceQuestions {
  let waiting = 0;
  return {
    async ask(call, patienceMs = PATIENCE_MS) {
      if (waiting >= MAX_WAITING) throw new TransientError("busy", `${MAX_WAITING} questions wait already`);
      waiting++;
      const work = call(answers, { deadlineMs: CHILD_DEADLINE_MS }).finally(() => waiting--);
      const answer = await answerWithin(work, patienceMs).catch((error: unknown) => {
        throw ofOurOwn(error);
      });
      if (answer === NO_ANSWER) throw new TransientError("not_ready", "the network is being opened");
      return answer;
    },
  };
}

/** The class of an error does not come over the process boundary, its code does. */
function ofOurOwn(error: unknown): unknown {
  if (!(error instanceof FellmarkError) || error instanceof InputError) return error;
  if (LOST.has(error.code)) return new TransientError(error.code, error.message, { cause: error });
  if (/^(terrain|raster|mast|profile|source)_/.test(error.code)) {
    return new TerrainError(error.code, error.message, { cause: error });
  }
  return error;
}
