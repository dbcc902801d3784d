import { existsSync, readFileSync } from "node:fs";
import { hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { lastState, post, stateWhere } from "../e2e/client.ts";
import { longRequest, ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { type RunningWorker, startWorker } from "./processes.ts";
import { expectNothingVisible, expectWholeResult, summaryText } from "./results.ts";

let service: RunningService | undefined;
afterEach(() => service?.remove());

/** More than a small job takes on a busy machine, far less than the long one. */
const DEADLINE_MS = 8_000;

test("a job past its deadline ends as failed with a reason, and the next one runs (F6)", async () => {
  service = await startService({ FELLMARK_DEADLINE_MS: String(DEADLINE_MS) });
  const { address } = service;
  const tooLong = (await post(address, longRequest("too long"))).body.id;
  const next = (await post(address, ridgeRequest())).body.id;
  const failed = await lastState(address, tooLong);
  expect(failed).toMatchObject({ state: "failed", attempt: 1, error: { code: "timeout" } });
  expect(failed.error?.detail).toContain(String(DEADLINE_MS));
  await expectNothingVisible(address, tooLong);
  expect(await lastState(address, next)).toMatchObject({ state: "done", attempt: 1 });
  expect(service.dataFiles().filter((name) => name.includes(`${tooLong}/`))).toEqual([]);
});

test("an error inside an attempt is a reason; the same request tells it and runs again only on retry (F8, F14)", async () => {
  service = await startService({ FAULT_POINT: "before-publish:1:raise" });
  const { address } = service;
  const { id } = (await post(address, ridgeRequest())).body;
  const failed = await lastState(address, id);
  expect(failed).toMatchObject({ state: "failed", error: { code: "internal_error", detail: expect.any(String) } });

  const again = await post(address, ridgeRequest());
  expect([again.status, again.body]).toMatchObject([200, failed]);
  const retry = () => fetch(`${address}/v1/coverages/${id}/retry`, { method: "POST" });
  const replies = await Promise.all([retry(), retry(), retry()]);
  expect(replies.map(({ status }) => status)).toEqual([202, 202, 202]);
  const done = await lastState(address, id);
  expect(done).toMatchObject({ state: "done", attempt: 2, error: null });
  await expectWholeResult(service, id, 2, await summaryText(address, id));
});

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))("a worker on Redis", () => {
  let redis: RedisServer;
  let workers: RunningWorker[];
  let env: Record<string, string>;
  beforeEach(async () => {
    redis = await spawnRedis();
    workers = [];
    env = { REDIS_URL: redis.url, FELLMARK_LEASE_MS: "1000", FELLMARK_SHUTDOWN_MS: "0" };
  });
  afterEach(async () => {
    for (const { child, ended } of workers) {
      child.kill("SIGKILL");
      await ended;
    }
    await service?.remove();
    await redis.stop();
  });

  async function addWorker(to: RunningService): Promise<RunningWorker> {
    const worker = await startWorker(to, env);
    workers.push(worker);
    return worker;
  }

  test("told to stop hands its job over and exits with 0; the other one goes on with it (F7)", async () => {
    service = await startService(env);
    const { address } = service;
    const first = await addWorker(service);
    const { id } = (await post(address, longRequest("handed over"))).body;
    await stateWhere(address, id, ({ progress }) => progress > 0);
    first.child.kill("SIGTERM");
    expect(await first.ended).toEqual([0, null]);
    await expectNothingVisible(address, id);

    await addWorker(service);
    const taken = await stateWhere(address, id, ({ state, attempt }) => state === "running" && attempt === 2);
    expect(taken.error).toBeNull();
  });

  test.skipIf(!needs("/proc", existsSync("/proc/self/status")))(
    "that is frozen before it publishes, while its job is removed and submitted again, publishes nothing (F5)",
    async () => {
      service = await startService(env);
      const { address } = service;
      const frozen = await startWorker(service, { ...env, FAULT_POINT: "before-publish:1:stop" });
      workers.push(frozen);
      const { id } = (await post(address, ridgeRequest())).body;
      const erase = () => fetch(`${address}/v1/coverages/${id}`, { method: "DELETE" });
      await frozen.log.waitFor(/"msg":"attempt begins"/);
      await expect
        .poll(() => readFileSync(`/proc/${frozen.child.pid}/stat`, "latin1"), { timeout: 30_000 })
        .toMatch(/\) T /);
      expect((await erase()).status).toBe(202);

      const other = await addWorker(service);
      expect(await lastState(address, id)).toMatchObject({ state: "cancelled" });
      expect((await erase()).status).toBe(204);
      expect((await post(address, ridgeRequest())).status).toBe(202);
      const done = await lastState(address, id);
      expect(done).toMatchObject({ state: "done", attempt: 1 });
      const text = await summaryText(address, id);

      frozen.child.kill("SIGCONT");
      await frozen.log.waitFor(/"msg":"(attempt ends|a stale result was dropped)"/, 30_000);
      other.child.kill("SIGTERM");
      await other.ended;
      await expectWholeResult(service, id, 1, text);
    },
  );

  test("whose job is deleted while it runs stops it, leaves no file and takes the next one (F41)", async () => {
    service = await startService(env);
    const { address } = service;
    await addWorker(service);
    const { id } = (await post(address, longRequest("deleted"))).body;
    await stateWhere(address, id, ({ progress }) => progress > 0);
    const erase = () => fetch(`${address}/v1/coverages/${id}`, { method: "DELETE" });
    expect((await erase()).status).toBe(202);
    expect(await lastState(address, id)).toMatchObject({ state: "cancelled", error: null });

    const next = (await post(address, ridgeRequest())).body.id;
    expect(await lastState(address, next)).toMatchObject({ state: "done", attempt: 1 });
    expect([(await erase()).status, (await erase()).status]).toEqual([204, 404]);
    expect(service.dataFiles().filter((name) => name.includes(id))).toEqual([]);
  });
});
