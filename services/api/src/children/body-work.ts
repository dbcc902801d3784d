import { BODY_WORK, type BodyCalls, type Compute } from "@fellmark/compute";
import { FellmarkError, TransientError } from "@fellmark/units";
import { type Asker, createTurns } from "./turns.ts";

/** Text up to this length is worked on here: that takes some 10 ms, which is less than others notice. */
const MAX_BYTES_HERE = 64_000;

/** Large bodies at a time: those who send them take turns. */
const TURNS = { atOnce: 1, perCaller: 8, waiting: 16 };

/** Past this the child is killed: the largest body that is accepted takes some 10 s on a busy machine. */
const DEADLINE_MS = 60_000;

/** Codes of calls that the child did not come to answer: another try may. */
const LOST = new Set(["timeout", "worker_killed", "cancelled", "recycled"]);

/** Work on bodies of requests, which keeps nobody else waiting. */
export interface BodyWork {
  /**
   * The reply to a call: made here where it is short, else in a child of its own.
   * Throws what the call throws, FellmarkError `too_large` for a body that needs more memory than the child may take,
   * `too_many_questions` and TransientError as turns do.
   */
  run<Name extends keyof BodyCalls>(asker: Asker, name: Name, sent: BodyCalls[Name][0]): Promise<BodyCalls[Name][1]>;
}

export function createBodyWork(bodies: Pick<Compute, "workOnBody">): BodyWork {
  const turns = createTurns(TURNS);
  return {
    run(asker, name, sent) {
      if (countBytes(sent) <= MAX_BYTES_HERE) return BODY_WORK[name](sent);
      return turns.run(asker, async () => {
        try {
          return await bodies.workOnBody(name, sent, { deadlineMs: DEADLINE_MS });
        } catch (error) {
          throw toOwnError(error);
        }
      });
    },
  };
}

/** The bytes and texts of what is sent; terrain facts besides them are short. */
function countBytes(sent: BodyCalls[keyof BodyCalls][0]): number {
  if (sent instanceof Uint8Array) return sent.length;
  const sizes = Object.values(sent).map((value) =>
    typeof value === "string" || value instanceof Uint8Array ? value.length : 0,
  );
  return sizes.reduce((sum, size) => sum + size, 0);
}

/** The class of an error does not come over the process boundary, its code does. */
function toOwnError(error: unknown): unknown {
  if (!(error instanceof FellmarkError)) return error;
  if (error.code === "memory")
    return new FellmarkError("too_large", "the body holds too many values", { cause: error });
  return LOST.has(error.code) ? new TransientError(error.code, error.message, { cause: error }) : error;
}
