import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import {
  createTempDir,
  hasCommand,
  needs,
  type RedisServer,
  spawnRedis,
  type TempDir,
  watchLines,
} from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openStorage, type Storage } from "./storage.ts";
import { buildSampleJob } from "./testing/sample-job.ts";

const MAX_STARTS = 3;
/** Lease of the workers that are killed: so long does the next one wait. */
const LEASE_MS = 300;

const a = buildSampleJob("a");
const b = buildSampleJob("b");

/** Of {"version":1,"name":"a"}, by sha256sum of GNU coreutils. */
const unfaultedSummary = {
  name: "summary.json",
  bytes: 24,
  sha256: "e977f6f6ccfba66dd3efb5ff60b1e4f0f0db41fc6057008d061547ee54bdeb48",
};

let folder: TempDir;
let storage: Storage;
let child: ChildProcess | undefined;

async function open(redisUrl?: string): Promise<void> {
  folder = createTempDir();
  storage = await openStorage({ dataDir: folder.path, redisUrl, onError: () => {} });
}

async function close(): Promise<void> {
  child?.kill("SIGKILL");
  await storage.queue.close(0);
  await storage.ledger.close();
  folder.remove();
}

function stateOf({ tenant, id }: { tenant: string; id: string }) {
  return storage.ledger.find(tenant, id);
}

/** Runs the built package. */
function spawnWorker(fault = "", redisUrl = "") {
  const program = fileURLToPath(new URL("../dist/testing/crash-worker.js", import.meta.url));
  const args = [program, folder.path, String(LEASE_MS), fault, redisUrl];
  const started = spawn(process.execPath, args, { stdio: ["ignore", "pipe", "inherit"] });
  child = started;
  return { exited: once(started, "exit"), lines: watchLines(started.stdout) };
}

async function losesNothing(point: string, redisUrl: string): Promise<void> {
  const { tenant, id } = a;
  await storage.ledger.submit(a);
  expect(await spawnWorker(`${point}:1:kill`, redisUrl).exited).toEqual([null, "SIGKILL"]);
  expect(await stateOf(a)).toMatchObject({ state: "running", attempt: 1, files: null });

  await spawnWorker("", redisUrl).lines.waitFor(/^published$/);
  const done = await stateOf(a);
  expect(done).toMatchObject({ state: "done", attempt: 2 });
  expect(done?.files?.find(({ name }) => name === "summary.json")).toEqual(unfaultedSummary);
  expect(readdirSync(join(folder.path, "results", "staged", tenant))).toEqual([]);
  expect(readdirSync(join(folder.path, "results", "published", tenant, id))).toEqual([done?.token]);
}

describe("worker process that is killed, on the embedded queue", () => {
  beforeEach(() => open());
  afterEach(close);

  it.each(["before-publish", "after-publish"])("%s loses nothing: the next one publishes the same (F1, F3)", (point) =>
    losesNothing(point, ""),
  );
});

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("worker process that is killed, on Redis", () => {
  let redis: RedisServer;
  beforeEach(async () => {
    redis = await spawnRedis();
    await open(redis.url);
  });
  afterEach(async () => {
    await close();
    await redis.stop();
  });

  it("loses nothing: the next one publishes the same (F1, F3)", () => losesNothing("before-publish", redis.url));

  it("each time ends as failed after three starts, and the queue goes on (F4)", async () => {
    await storage.ledger.submit(a);
    for (let start = 1; start <= MAX_STARTS; start++) {
      expect(await spawnWorker("after-begin:1:kill", redis.url).exited).toEqual([null, "SIGKILL"]);
    }
    await storage.ledger.submit(b);
    const { lines } = spawnWorker("", redis.url);
    await lines.waitFor(/^published$/);
    await lines.waitFor(/^the worker died in each of 3 attempts$/);
    expect(await stateOf(b)).toMatchObject({ state: "done" });
    expect(await stateOf(a)).toMatchObject({ state: "failed", attempt: 4, error: { code: "worker_killed" } });
  });
});
