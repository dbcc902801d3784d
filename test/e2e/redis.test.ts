import { hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { post } from "./client.ts";
import { ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("with its queue in Redis, the API", () => {
  let redis: RedisServer;
  let service: RunningService;
  beforeAll(async () => {
    redis = await spawnRedis();
    service = await startService({ REDIS_URL: redis.url });
  });
  afterAll(async () => {
    await service?.remove();
    await redis?.stop();
  });

  test("refuses new work within 2 s while Redis is dead, still answers for what it knows, and recovers alone (F9)", async () => {
    const known = await post(service.address, ridgeRequest({ name: "known" }));
    expect(known.status).toBe(202);

    await redis.kill9();
    const startedMs = performance.now();
    const refused = await post<{ code: string }>(service.address, ridgeRequest({ name: "new" }));
    expect(performance.now() - startedMs).toBeLessThan(2_000);
    expect(refused.status).toBe(503);
    expect(refused.headers.get("retry-after")).toMatch(/^\d+$/);
    const ready = await fetch(`${service.address}/health/ready`);
    expect([ready.status, await ready.text()]).toEqual([503, expect.stringContaining('"pointer":"/queue"')]);
    expect((await post(service.address, ridgeRequest({ name: "known" }))).body).toEqual(known.body);

    await redis.restart();
    const isReady = async () => (await fetch(`${service.address}/health/ready`)).status;
    await expect.poll(isReady, { timeout: 10_000, interval: 50 }).toBe(200);
    expect((await post(service.address, ridgeRequest({ name: "new" }))).status).toBe(202);
  });
});
