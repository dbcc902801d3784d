import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { FellmarkError } from "@fellmark/units";
import type { ThreadMessage, ThreadReply, ThreadTask } from "./thread.ts";

/** Plain worker threads over shared memory; every task goes to one idle thread. */
export interface ThreadPool {
  readonly size: number;
  run(task: ThreadTask): Promise<void>;
  /** Runs one task on every thread at once, for work that the threads share through a counter; returns each result. */
  runOnAll(task: ThreadTask): Promise<unknown[]>;
  /** Lets every thread go of the shared memory of work that is over. */
  collect(): Promise<void>;
  close(): Promise<void>;
}

/** Most threads that a pool starts by itself. */
const MAX_THREADS = 8;

/** The threads work on shared memory and make little garbage of their own. */
const YOUNG_GENERATION_MB = 4;

/** URL of the script that the threads run. */
const SCRIPT = new URL("../dist/thread.js", import.meta.url);

export function createThreadPool(
  size = Math.min(MAX_THREADS, availableParallelism()),
  script: URL = SCRIPT,
): ThreadPool {
  const waiting: ((worker: Worker) => void)[] = [];
  const workers = new Set<Worker>();
  const idle = Array.from({ length: size }, start);

  function start(): Worker {
    const worker = new Worker(script, { resourceLimits: { maxYoungGenerationSizeMb: YOUNG_GENERATION_MB } });
    // A thread that has ended is known by its absence here; its error is that of the task it had.
    worker.on("error", () => undefined).on("exit", () => workers.delete(worker));
    workers.add(worker);
    return worker;
  }

  /** Gives a thread to who waits first; a fresh one in place of one that has ended. */
  function release(used: Worker): void {
    const worker = workers.has(used) ? used : start();
    const next = waiting.shift();
    if (next) next(worker);
    else idle.push(worker);
  }

  function acquire(): Promise<Worker> {
    const worker = idle.pop();
    if (!worker) return new Promise((resolve) => waiting.push(resolve));
    return Promise.resolve(workers.has(worker) ? worker : start());
  }

  async function run(message: ThreadMessage): Promise<unknown> {
    const worker = await acquire();
    try {
      return await ask(worker, message);
    } finally {
      release(worker);
    }
  }

  const runOnAll = (message: ThreadMessage) => Promise.all(Array.from({ length: size }, () => run(message)));

  return {
    size,
    run: async (task) => {
      await run(task);
    },
    runOnAll,
    collect: async () => {
      await runOnAll("collect");
    },
    close: async () => {
      await Promise.all(Array.from(workers, (worker) => worker.terminate()));
    },
  };
}

function ask(worker: Worker, message: ThreadMessage): Promise<unknown> {
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
    worker.postMessage(message);
  });
}
