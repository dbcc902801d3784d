import { afterEach, expect, it } from "vitest";
import { createThreadPool, type ThreadPool } from "./thread-pool.ts";

/** A thread that ends at its first "collect" and answers any other task. */
const LEAVING = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort } from "node:worker_threads";
    parentPort.on("message", ({ kind }) => kind === "collect" ? process.exit(3) : parentPort.postMessage({ result: 1 }));
  `)}`,
);

let pool: ThreadPool | undefined;
afterEach(() => pool?.close());

it("fails the task of a thread that ends, and does the next ones with a fresh one", async () => {
  pool = createThreadPool(1, LEAVING);
  await expect(pool.run({ kind: "collect" })).rejects.toMatchObject({ code: "worker_killed" });
  await expect(pool.runOnAll({ kind: "radials" } as never)).resolves.toEqual([1]);
  const two = [pool.run({ kind: "collect" }), pool.run({ kind: "radials" } as never)];
  expect((await Promise.allSettled(two)).map(({ status }) => status)).toEqual(["rejected", "fulfilled"]);
});
