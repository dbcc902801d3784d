import { parentPort } from "node:worker_threads";
import type { AnswersTask } from "./answer/answer-many.ts";
import { computeStrip, type StripTask } from "./layers/strip.ts";
import { type RadialTask, runRadialBlocks } from "./sweep/radial-blocks.ts";
import { type PlanHalfTask, runPlanHalf } from "./sweep/sweep-plan.ts";

/** What a thread can be asked to do; everything large travels as shared memory. */
export type ThreadTask = PlanHalfTask | RadialTask | StripTask | AnswersTask | CollectTask;

/** Lets go of the shared memory of work that is over; V8 does not count it and would keep it for long. */
export interface CollectTask {
  kind: "collect";
}

export interface ThreadReply {
  /** What the task gives beside what it writes into shared memory. */
  result?: unknown;
  error?: string;
}

const run: { [kind in ThreadTask["kind"]]: (task: never) => unknown } = {
  "plan-half": runPlanHalf,
  radials: runRadialBlocks,
  strip: computeStrip,
  // Loaded by the first who asks: threads that only sweep do without its 20 MB.
  answers: async (task: AnswersTask) => (await import("./answer/answer-many.ts")).answerBlocks(task),
  collect: () => globalThis.gc?.(),
};

parentPort?.on("message", async (task: ThreadTask) => {
  const reply: ThreadReply = {};
  try {
    reply.result = await run[task.kind](task as never);
  } catch (error) {
    reply.error = error instanceof Error ? (error.stack ?? error.message) : String(error);
  }
  parentPort?.postMessage(reply);
});
