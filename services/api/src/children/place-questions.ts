import type { CallLimits, Compute } from "@fellmark/compute";
import { FellmarkError, InputError, TerrainError, TransientError } from "@fellmark/units";
import { answerWithin, NO_ANSWER } from "./answer-within.ts";
import { type Asker, createTurns } from "./turns.ts";

/** The calls of the answering child that the API makes. */
export type AskedAnswers = Pick<Compute, "prepare" | "serviceability" | "install" | "calibration" | "draw">;

/** Longest wait of a caller: a network that was not asked for a while is opened first. */
const PATIENCE_MS = 10_000;

/** The child's own deadline, past which it is killed: wide, as opening a large network takes long. */
const CHILD_DEADLINE_MS = 300_000;

/** Questions at a time to networks that are open, which take little, and to others, which are opened first. */
const OPEN_LANE = { atOnce: 4, perCaller: 8, waiting: 64 };
const OPENING_LANE = { atOnce: 2, perCaller: 4, waiting: 32 };

/** Networks that the child keeps open. */
const KEPT_OPEN = 4;

/** Codes of calls that the child did not come to answer: another try may. */
const LOST = new Set(["timeout", "memory", "worker_killed", "cancelled", "recycled"]);

/** A question: who asks, and the name of the network that is asked, one for each way in which it is opened. */
export interface PlaceQuestion extends Asker {
  network: string;
}

/** Asks the resident child that answers places. */
export interface PlaceQuestions {
  /**
   * The reply to a call. Callers take turns, and questions to networks that are open do not wait for one that is being
   * opened. Throws TransientError while too many wait or the network is being opened, FellmarkError
   * `too_many_questions` for a caller over its share, and the errors of the child: InputError, TerrainError.
   */
  ask<T>(
    question: PlaceQuestion,
    call: (answers: AskedAnswers, limits: CallLimits) => Promise<T>,
    patienceMs?: number,
  ): Promise<T>;
}

export function createPlaceQuestions(answers: AskedAnswers): PlaceQuestions {
  const lanes = { open: createTurns(OPEN_LANE), opening: createTurns(OPENING_LANE) };
  const openNetworks = new Set<string>();
  const noteOpen = (network: string) => {
    openNetworks.delete(network);
    openNetworks.add(network);
    for (const oldest of [...openNetworks].slice(0, -KEPT_OPEN)) openNetworks.delete(oldest);
  };
  return {
    async ask(question, call, patienceMs = PATIENCE_MS) {
      const { network } = question;
      const lane = openNetworks.has(network) ? lanes.open : lanes.opening;
      const work = lane.run(question, async () => {
        const reply = await call(answers, { deadlineMs: CHILD_DEADLINE_MS });
        noteOpen(network);
        return reply;
      });
      const answer = await answerWithin(work, patienceMs).catch((error: unknown) => {
        throw toOwnError(error);
      });
      if (answer === NO_ANSWER) throw new TransientError("not_ready", "the network is being opened");
      return answer;
    },
  };
}

/** The class of an error does not come over the process boundary, its code does. */
function toOwnError(error: unknown): unknown {
  if (!(error instanceof FellmarkError) || error instanceof InputError) return error;
  if (LOST.has(error.code)) return new TransientError(error.code, error.message, { cause: error });
  if (/^(terrain|raster|mast|profile|source)_/.test(error.code)) {
    return new TerrainError(error.code, error.message, { cause: error });
  }
  return error;
}
