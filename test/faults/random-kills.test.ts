import { createHash } from "node:crypto";
import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { createSeededRandom, hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { afterEach, beforeAll, describe, expect, test } from "vitest";
import { lastState, post } from "../e2e/client.ts";
import { ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { computeChildrenOf, type RunningWorker, startWorker } from "./processes.ts";
import { summaryText } from "./results.ts";

/** Kills of each kind, each in its own part of the time that a job takes: a campaign sets more. */
const RUNS = Number(process.env.FELLMARK_KILL_RUNS ?? 4);
const SEED = Number(process.env.FELLMARK_KILL_SEED ?? 20261130);
/** A job takes about as long, so that kills fall before, into and behind it. */
const LATEST_KILL_MS = 2_500;
const LEASE = { FELLMARK_LEASE_MS: "1000", FELLMARK_SHUTDOWN_MS: "0" };
const MINUTES_MS = 60_000;

interface Summary {
  files: { name: string }[];
}

/** Hashes of the rasters without the job's id and name in their metadata, both of one length: the rest is the same. */
async function rasterHashes(address: string, id: string): Promise<string[]> {
  const { files } = JSON.parse(await summaryText(address, id)) as Summary;
  const names = files.map(({ name }) => name).filter((name) => name.startsWith("rasters/"));
  return Promise.all(names.map(async (name) => `${name} ${await hashWithoutId(address, id, name)}`));
}

async function hashWithoutId(address: string, id: string, name: string): Promise<string> {
  const reply = await fetch(`${address}/v1/coverages/${id}/${name}`);
  const bytes = Buffer.from(await reply.arrayBuffer());
  return createHash("sha256")
    .update(
      bytes
        .toString("latin1")
        .replaceAll(id, "")
        .replace(/>run .{4}</, ""),
    )
    .digest("hex");
}

let service: RunningService | undefined;
let undisturbed: string[];
beforeAll(async () => {
  const calm = await startService();
  const { id } = (await post(calm.address, ridgeRequest({ name: "run calm" }))).body;
  expect(await lastState(calm.address, id)).toMatchObject({ state: "done" });
  undisturbed = await rasterHashes(calm.address, id);
  await calm.remove();
});
afterEach(async () => {
  await service?.remove();
  service = undefined;
});

/**
 * Submits a job a run and kills something at a random time, tells what was lost, doubled or foreign, and that nothing is
 * left behind. Every run has a seed of its own, which a failure names.
 * @param kill kills, and starts again what was killed
 */
async function killAtRandom(kill: (random: () => number) => Promise<void>): Promise<void> {
  const ids: string[] = [];
  for (let run = 0; run < RUNS; run++) {
    const seed = SEED + run;
    const random = createSeededRandom(seed);
    const running = service as RunningService;
    const request = ridgeRequest({ name: `run ${String(run).padStart(4, "0")}` });
    const { status, body } = await post(running.address, request);
    expect(status, `seed ${seed}`).toBe(202);
    ids.push(body.id);
    await delay(((run + random()) / RUNS) * LATEST_KILL_MS);
    await kill(random);
    const { address } = service as RunningService;
    expect(await lastState(address, body.id), `seed ${seed}`).toMatchObject({ state: "done", error: null });
    expect(await rasterHashes(address, body.id), `seed ${seed}`).toEqual(undisturbed);
  }
  expectNothingLeft(service as RunningService, ids);
}

/** Waits until the service has found Redis again: until then it rightly refuses new work. */
async function untilReady({ address }: RunningService): Promise<void> {
  const ready = async () => (await fetch(`${address}/health/ready`)).status;
  await expect.poll(ready, { timeout: 20_000, interval: 50 }).toBe(200);
}

function expectNothingLeft({ dir }: RunningService, ids: readonly string[]): void {
  const data = path.join(dir.path, "data");
  const namesIn = (...names: string[]) => {
    const folder = path.join(data, ...names);
    return existsSync(folder) ? readdirSync(folder) : [];
  };
  expect(namesIn("results", "staged", "default")).toEqual([]);
  expect(namesIn("results", "published", "default").sort()).toEqual([...ids].sort());
  for (const id of ids) expect(namesIn("results", "published", "default", id), id).toHaveLength(1);
  expect(namesIn("results", "work", "default")).toEqual([]);
  expect(namesIn("cache").filter((name) => !name.endsWith(".loss"))).toEqual([]);
}

describe("kill -9 at a random time loses, doubles and mixes nothing, and leaves nothing behind (F49)", () => {
  test(`of the service with its queue inside`, { timeout: 10 * MINUTES_MS }, async () => {
    service = await startService(LEASE);
    await killAtRandom(async () => {
      const killed = service as RunningService;
      killed.child.kill("SIGKILL");
      await killed.ended;
      service = await startService(LEASE, killed.dir);
    });
  });

  test.skipIf(!needs("/proc", existsSync("/proc/self/status")))(
    "of compute children",
    { timeout: 10 * MINUTES_MS },
    async () => {
      service = await startService(LEASE);
      await killAtRandom(async (random) => {
        const children = computeChildrenOf(service?.child.pid);
        const pid = children[Math.floor(random() * children.length)];
        if (pid !== undefined) process.kill(pid, "SIGKILL");
      });
    },
  );

  describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("with Redis", () => {
    async function withWorkers(work: (redis: RedisServer, workers: RunningWorker[]) => Promise<void>): Promise<void> {
      const redis = await spawnRedis();
      const workers: RunningWorker[] = [];
      try {
        const env = { ...LEASE, REDIS_URL: redis.url };
        service = await startService(env);
        for (let count = 0; count < 2; count++) workers.push(await startWorker(service, env));
        await work(redis, workers);
      } finally {
        for (const { child, ended } of workers) {
          child.kill("SIGKILL");
          await ended;
        }
        await redis.stop();
      }
    }

    test("of one of two workers", { timeout: 10 * MINUTES_MS }, () =>
      withWorkers((redis, workers) =>
        killAtRandom(async (random) => {
          const index = Math.floor(random() * workers.length);
          workers[index].child.kill("SIGKILL");
          await workers[index].ended;
          workers[index] = await startWorker(service as RunningService, { ...LEASE, REDIS_URL: redis.url });
        }),
      ),
    );

    test("of Redis", { timeout: 10 * MINUTES_MS }, () =>
      withWorkers((redis) =>
        killAtRandom(async () => {
          await redis.kill9();
          await redis.restart();
          await untilReady(service as RunningService);
        }),
      ),
    );
  });
});
