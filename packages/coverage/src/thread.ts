import { parentPort } from "node:worker_threads";
import { computeStrip, type StripTask } from "./layers/strip.ts";
import { type RadialTask, runRadialBlocks } from "./sweep/radial-blocks.ts";
import { type PlanHalfTask, runPlanHalf } from "./sweep/sweep-plan.ts";

/** What a thread can be asked to do; everything large travels as shared memory. */
export type ThreadTask = PlanHalfTask | RadialTask | StripTask | CollectTask;

/** Lets go of the shared memory of work that is over; V8 does not count it and would keep it for long. */
export interface CollectTask {
  kind: "collect";
}

export interface ThreadReply {
  error?: string;
}

const run: { [kind in ThreadTask["kind"]]: (task: never) => void } = {
  "plan-half": runPlanHalf,
  radials: runRadialBlocks,
  strip: computeStrip,
  collect: () => globalThis.gc?.(),
};

parentPort?.on("message", (task: ThreadTask) => {
  const reply: ThreadReply = {};
  try {
    run[task.kind](task as never);
  } catch (error) {
    reply.error = error instanceof Error ? (error.stack ?? error.message) : String(error);
  }
  parentPort?.postMessage(reply);
});
