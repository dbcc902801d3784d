import { hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { Queue } from "bullmq";
import { Redis } from "ioredis";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { openBullmqQueue } from "./bullmq-queue.ts";
import type { JobQueue } from "./queue.ts";
import { collectDeliveries } from "./testing/deliveries.ts";
import { buildSampleJob } from "./testing/sample-job.ts";

/** A submission must be answered in less. */
const FAST_MS = 2_000;

const [a, b] = ["a", "b"].map((name) => {
  const { tenant, id } = buildSampleJob(name);
  return { tenant, id };
});

async function timed(action: Promise<unknown>): Promise<{ error: unknown; tookMs: number }> {
  const startMs = performance.now();
  const error = await action.then(
    () => undefined,
    (reason: unknown) => reason,
  );
  return { error, tookMs: performance.now() - startMs };
}

const unreachable = expect.objectContaining({ name: "TransientError", code: "queue_unreachable" });

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("BullMQ queue and the faults of Redis", () => {
  let redis: RedisServer;
  let queue: JobQueue;
  const queueName = "faults";

  beforeEach(async () => {
    redis = await spawnRedis();
    queue = await openBullmqQueue({ redisUrl: redis.url, queueName, redeliverMs: 10, lockMs: 1_000 });
  });
  afterEach(async () => {
    await queue.close(0);
    await redis.stop();
  });

  it("says within 2 s that Redis is dead, and goes on by itself when it is back (F9)", async () => {
    const { handler, next } = collectDeliveries();
    await queue.enqueue(a);
    await redis.kill9();
    for (const command of [queue.enqueue(b), queue.check(), queue.remove(b)]) {
      const { error, tookMs } = await timed(command);
      expect(error).toEqual(unreachable);
      expect(tookMs).toBeLessThan(FAST_MS);
    }
    await redis.restart();
    await queue.work(handler, 1);
    const { ref, finish } = await next();
    expect(ref).toEqual(a);
    finish();
  });

  it("brings a worker back to work after Redis died under it, with a job in hand", async () => {
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue(a);
    const inHand = await next();
    await redis.kill9();
    inHand.finish();
    await redis.restart();
    await expect.poll(() => timed(queue.enqueue(b)), { timeout: 10_000 }).toMatchObject({ error: undefined });
    // The end of the first job may have been lost with the server: then it comes again, as it may.
    let delivery = await next();
    if (delivery.ref.id === a.id) {
      delivery.finish();
      delivery = await next();
    }
    expect(delivery.ref).toEqual(b);
    delivery.finish();
  });

  it("works on while every connection is cut, twenty times over (F12)", async () => {
    const admin = new Redis(redis.url);
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    for (let round = 0; round < 20; round++) {
      const ref = { tenant: a.tenant, id: buildSampleJob(`round ${round}`).id };
      await admin.call("CLIENT", "KILL", "TYPE", "normal", "SKIPME", "yes");
      await expect.poll(() => timed(queue.enqueue(ref)), { timeout: 5_000 }).toMatchObject({ error: undefined });
      let delivery = await next();
      // The end of the one before may have been lost with its connection: then it comes again, as it may.
      while (delivery.ref.id !== ref.id) {
        delivery.finish();
        delivery = await next();
      }
      delivery.finish();
    }
    await expect.poll(() => timed(queue.check()), { timeout: 5_000 }).toMatchObject({ error: undefined });
    admin.disconnect();
  }, 120_000);

  it("says within 2 s that Redis is frozen (F11)", async () => {
    const admin = new Redis(redis.url);
    await admin.client("PAUSE", 60_000, "ALL");
    const { error, tookMs } = await timed(queue.enqueue(a));
    expect(error).toEqual(unreachable);
    expect(tookMs).toBeLessThan(FAST_MS);
    admin.disconnect();
  });

  it("is whole once it is open: a stall of the process right after leaves nothing broken", async () => {
    const fresh = await openBullmqQueue({ redisUrl: redis.url, queueName });
    // Longer than any command of the producer may take, and before the event loop has turned once.
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 1_600);
    await fresh.enqueue(a);
    await fresh.close(0);
  });

  it("says within 2 s at the start that there is no Redis (F47)", async () => {
    await redis.kill9();
    const { error, tookMs } = await timed(openBullmqQueue({ redisUrl: redis.url, queueName }));
    expect(error).toEqual(unreachable);
    expect(tookMs).toBeLessThan(FAST_MS);
    await redis.restart();
  });

  it("refuses a Redis that may evict jobs, and reports a full one (F13, F47)", async () => {
    const admin = new Redis(redis.url);
    await admin.config("SET", "maxmemory", "1");
    expect((await timed(queue.enqueue(a))).error).toEqual(unreachable);
    await admin.config("SET", "maxmemory", "0");
    await admin.config("SET", "maxmemory-policy", "allkeys-lru");
    const refused = { code: "redis_policy", message: expect.stringContaining("allkeys-lru") };
    await expect(openBullmqQueue({ redisUrl: redis.url, queueName })).rejects.toMatchObject(refused);
    admin.disconnect();
  });

  it("queues anew a job whose failed namesake was kept", async () => {
    const { handler, next } = collectDeliveries();
    const connection = new Redis(redis.url);
    const keeper = new Queue(queueName, { connection });
    await keeper.add("cover", { version: 2 }, { jobId: `${a.tenant}-${a.id}`, attempts: 1, removeOnFail: false });
    await queue.work(handler, 1);
    await expect.poll(() => keeper.getJobState(`${a.tenant}-${a.id}`)).toBe("failed");
    await queue.enqueue(a);
    const { ref, finish } = await next();
    expect(ref).toEqual(a);
    finish();
    await keeper.close();
    connection.disconnect();
  });

  it("aborts the handler whose lock went to another worker (F5, F10)", async () => {
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue(a);
    const { signal, fail } = await next();
    const aborted = new Promise((resolve) => signal.addEventListener("abort", resolve));
    const admin = new Redis(redis.url);
    await admin.flushall();
    await aborted;
    fail(signal.reason);
    admin.disconnect();
  });
});
