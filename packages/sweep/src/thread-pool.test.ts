import { afterEach, expect, it } from "vitest";
import { createThreadPool, type ThreadPool } from "./thread-pool.ts";

/** A thread that ends at a task of the module "leave" and answers any other. */
const LEAVING = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort } from "node:worker_threads";
    parentPort.on("message", ({ module }) => module === "leave" ? process.exit(3) : parentPort.postMessage({ result: 1 }));
  `)}`,
);

const LEAVE = { module: "leave", input: null };
const ANSWER = { module: "answer", input: null };

let pool: ThreadPool | undefined;
afterEach(() => pool?.close());

it("fails the task of a thread that ends, and does the next ones with a fresh one", async () => {
  pool = createThreadPool(1, LEAVING);
  await expect(pool.run(LEAVE)).rejects.toMatchObject({ code: "worker_killed" });
  await expect(pool.runOnAll(ANSWER)).resolves.toEqual([1]);
  const two = [pool.run(LEAVE), pool.run(ANSWER)];
  expect((await Promise.allSettled(two)).map(({ status }) => status)).toEqual(["rejected", "fulfilled"]);
});
