import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { FellmarkError } from "@fellmark/units";
import type { ThreadReply, ThreadTask } from "./thread.ts";

/** Plain worker threads over shared memory; every task goes to one idle thread. */
export interface ThreadPool {
  readonly size: number;
  run(task: ThreadTask): Promise<void>;
  /** The same task on every thread at once, for work that the threads share through a counter; what each gives. */
  runOnAll(task: ThreadTask): Promise<unknown[]>;
  close(): Promise<void>;
}

/** Most threads that a pool starts by itself. */
const MAX_THREADS = 8;

/** The threads work on shared memory and make little garbage of their own. */
const YOUNG_GENERATION_MB = 4;

export function createThreadPool(size = Math.min(MAX_THREADS, availableParallelism())): ThreadPool {
  const idle: Worker[] = [];
  const waiting: ((worker: Worker) => void)[] = [];
  const options = { resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MB } };
  const workers = Array.from(
    { length: size },
    () => new Worker(new URL("../dist/thread.js", import.meta.url), options),
  );
  idle.push(...workers);

  function release(worker: Worker): void {
    const next = waiting.shift();
    if (next) next(worker);
    else idle.push(worker);
  }

  function acquire(): Promise<Worker> {
    const worker = idle.pop();
    return worker ? Promise.resolve(worker) : new Promise((resolve) => waiting.push(resolve));
  }

  async function run(task: ThreadTask): Promise<unknown> {
    const worker = await acquire();
    try {
      return await ask(worker, task);
    } finally {
      release(worker);
    }
  }

  return {
    size,
    run: async (task) => {
      await run(task);
    },
    runOnAll: (task) => Promise.all(workers.map(() => run(task))),
    close: async () => {
      await Promise.all(workers.map((worker) => worker.terminate()));
    },
  };
}

function ask(worker: Worker, task: ThreadTask): Promise<unknown> {
  return new Promise((resolve, reject) => {
    const leave = () => worker.off("message", onMessage).off("error", fail).off("exit", onExit);
    const fail = (error: Error) => {
      leave();
      reject(error);
    };
    const onMessage = ({ error, result }: ThreadReply) => {
      if (error !== undefined) return fail(new FellmarkError("internal_error", error));
      leave();
      resolve(result);
    };
    const onExit = (code: number) => fail(new FellmarkError("worker_killed", `a worker thread ended with ${code}`));
    worker.on("message", onMessage).on("error", fail).on("exit", onExit);
    worker.postMessage(task);
  });
}
