import { join } from "node:path";
import { createTempDir, hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { openBullmqQueue } from "./bullmq-queue.ts";
import { openEmbeddedQueue } from "./embedded-queue.ts";
import type { JobQueue } from "./queue.ts";
import { collectDeliveries } from "./testing/deliveries.ts";
import { buildSampleJob } from "./testing/sample-job.ts";

const [a, b, c] = ["a", "b", "c"].map((name) => {
  const { tenant, id } = buildSampleJob(name);
  return { tenant, id };
});

/**
 * What every queue must do. `open` gives a queue of that name, another process's view of it when called again; its times
 * are short, so that a redelivery takes milliseconds.
 */
function queueContract(open: (name: string) => Promise<JobQueue>): void {
  let name: string;
  let queue: JobQueue;
  let opened: JobQueue[];
  let count = 0;
  const another = async () => {
    const queue = await open(name);
    opened.push(queue);
    return queue;
  };

  beforeEach(async () => {
    name = `test-${process.pid}-${count++}`;
    opened = [];
    queue = await another();
  });
  afterEach(async () => {
    await Promise.all(opened.map((queue) => queue.close(0)));
  });

  it("delivers what was queued before and after the work began, in order", async () => {
    const { handler, next } = collectDeliveries();
    await queue.enqueue(a);
    await queue.enqueue(b);
    await queue.work(handler, 1);
    for (const expected of [a, b]) {
      const { ref, finish } = await next();
      expect(ref).toEqual(expected);
      finish();
    }
    await queue.enqueue(c);
    const last = await next();
    expect(last.ref).toEqual(c);
    last.finish();
  });

  it("delivers once what is queued many times while it waits or runs", async () => {
    const { handler, next } = collectDeliveries();
    await Promise.all([a, a, a, a].map((ref) => queue.enqueue(ref)));
    await queue.work(handler, 1);
    const first = await next();
    await queue.enqueue(a);
    await queue.enqueue(b);
    first.finish();
    const second = await next();
    expect(second.ref).toEqual(b);
    second.finish();
  });

  it("delivers again what is queued again after it ended", async () => {
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    for (const other of [b, c]) {
      await queue.enqueue(a);
      const delivery = await next();
      expect(delivery.ref).toEqual(a);
      delivery.finish();
      // A second job has run: the queue is through with the first one.
      await queue.enqueue(other);
      (await next()).finish();
    }
  });

  it("reaches a worker in another process", async () => {
    const { handler, next } = collectDeliveries();
    await (await another()).work(handler, 1);
    await queue.enqueue(a);
    const { ref, finish } = await next();
    expect(ref).toEqual(a);
    finish();
  });

  it("hands out as many at a time as it was told to", async () => {
    const { handler, next, waiting } = collectDeliveries();
    for (const ref of [a, b, c]) await queue.enqueue(ref);
    await queue.work(handler, 2);
    const [first, second] = [await next(), await next()];
    await queue.check();
    expect(waiting()).toBe(0);
    second.finish();
    const third = await next();
    expect(third.ref).toEqual(c);
    for (const { finish } of [first, third]) finish();
  });

  it.each([
    ["an error", new Error("boom")],
    ["a string", "boom"],
    ["undefined", undefined],
  ])("delivers again when the handler throws %s (F8)", async (_what, thrown) => {
    const { handler, next } = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue(a);
    (await next()).fail(thrown);
    const again = await next();
    expect(again.ref).toEqual(a);
    again.finish();
  });

  it("forgets a waiting job, not a running one", async () => {
    const { handler, next } = collectDeliveries();
    for (const ref of [a, b, c]) await queue.enqueue(ref);
    await queue.work(handler, 1);
    const first = await next();
    await queue.remove(a);
    await queue.remove(b);
    expect(first.signal.aborted).toBe(false);
    first.finish();
    const second = await next();
    expect(second.ref).toEqual(c);
    second.finish();
  });

  it("keeps equal ids of two tenants apart", async () => {
    const { handler, next } = collectDeliveries();
    const other = { tenant: "other", id: a.id };
    await queue.enqueue(a);
    await queue.enqueue(other);
    await queue.work(handler, 2);
    const both = [await next(), await next()];
    expect(both.map(({ ref }) => ref)).toEqual([a, other]);
    for (const { finish } of both) finish();
  });

  it("lets a running job end before it closes", async () => {
    const { handler, next, waiting } = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue(a);
    await queue.enqueue(b);
    const running = await next();
    const closed = queue.close(10_000);
    running.finish();
    await closed;
    await queue.close(0);
    expect(running.signal.aborted).toBe(false);
    expect(waiting()).toBe(0);
  });

  it("aborts what does not end in time, and another worker gets it at once", async () => {
    const { handler, next } = collectDeliveries();
    const successor = collectDeliveries();
    await queue.work(handler, 1);
    await queue.enqueue(a);
    const running = await next();
    running.signal.addEventListener("abort", () => running.fail(running.signal.reason));
    await queue.close(0);
    await (await another()).work(successor.handler, 1);
    const { ref, finish } = await successor.next();
    expect(ref).toEqual(a);
    finish();
  });
}

describe("embedded queue", () => {
  const folder = createTempDir();
  afterAll(() => folder.remove());
  queueContract((name) =>
    openEmbeddedQueue({ path: join(folder.path, `${name}.sqlite`), pollMs: 10, redeliverMs: 10 }),
  );
});

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("BullMQ queue on redis-server", () => {
  let redis: RedisServer;
  beforeAll(async () => {
    redis = await spawnRedis();
  });
  afterAll(() => redis.stop());
  queueContract((queueName) => openBullmqQueue({ redisUrl: redis.url, queueName, redeliverMs: 10 }));
});
