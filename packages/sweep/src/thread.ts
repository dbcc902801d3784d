import { parentPort } from "node:worker_threads";

/** A task for a thread: which built module takes it, and its input. Everything large travels as shared memory. */
export interface ThreadTask<Input = unknown> {
  /** URL of a module that exports `runTask(input)`; loaded by the first task that names it. */
  module: string;
  input: Input;
}

/** Lets go of the shared memory of work that is over; V8 does not count it and would keep it for long. */
export type ThreadMessage = ThreadTask | "collect";

export interface ThreadReply {
  /** Return value of the task, beside what it wrote into shared memory. */
  result?: unknown;
  error?: string;
}

interface TaskModule {
  runTask(input: unknown): unknown;
}

async function runMessage(message: ThreadMessage): Promise<unknown> {
  if (message === "collect") return globalThis.gc?.();
  const { runTask }: TaskModule = await import(message.module);
  return runTask(message.input);
}

parentPort?.on("message", async (message: ThreadMessage) => {
  const reply: ThreadReply = {};
  try {
    reply.result = await runMessage(message);
  } catch (error) {
    reply.error = error instanceof Error ? (error.stack ?? error.message) : String(error);
  }
  parentPort?.postMessage(reply);
});
