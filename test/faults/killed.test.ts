import { existsSync } from "node:fs";
import { hasCommand, needs, type RedisServer, spawnRedis } from "@fellmark/testkit";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { lastState, post, stateWhere } from "../e2e/client.ts";
import { longRequest, ridgeRequest } from "../e2e/requests.ts";
import { type RunningService, startService } from "../e2e/service.ts";
import { computeChildrenOf, type RunningWorker, startWorker } from "./processes.ts";
import { expectNothingVisible, expectWholeResult, summaryText } from "./results.ts";

/** Where a process kills itself with SIGKILL: in the middle of the job, and on either side of the publication. */
const POINTS = ["after-begin", "before-publish", "after-publish"];
const LEASE = { FELLMARK_LEASE_MS: "1000" };

let undisturbed: string;
let service: RunningService | undefined;
beforeAll(async () => {
  const calm = await startService();
  const { id } = (await post(calm.address, ridgeRequest())).body;
  expect(await lastState(calm.address, id)).toMatchObject({ state: "done", attempt: 1 });
  undisturbed = await summaryText(calm.address, id);
  await calm.remove();
});
afterEach(() => service?.remove());

describe("service with its queue inside that is killed", () => {
  test.each(POINTS)("at %s finishes the job when it starts again, with the same bytes (F1, F3)", async (point) => {
    const killed = await startService({ ...LEASE, FAULT_POINT: `${point}:1` });
    service = killed;
    // It may die before it has answered: then the outcome is unknown, and the client asks again.
    await post(killed.address, ridgeRequest()).catch(() => undefined);
    expect(await killed.ended).toEqual([null, "SIGKILL"]);

    service = await startService(LEASE, killed.dir);
    const again = await post(service.address, ridgeRequest());
    expect(again.status).toBe(200);
    await expectWholeResult(service, again.body.id, 2, undisturbed);
  });

  test.skipIf(!needs("/proc", existsSync("/proc/self/status")))(
    "only in its compute child lives on and tries again (F2)",
    async () => {
      service = await startService();
      const { address, child } = service;
      const { id } = (await post(address, longRequest("child killed"))).body;
      await stateWhere(address, id, ({ progress }) => progress > 0);
      for (const pid of computeChildrenOf(child.pid)) process.kill(pid, "SIGKILL");
      const retried = await stateWhere(address, id, ({ attempt }) => attempt === 2);
      expect(retried).toMatchObject({ state: "running", error: null });
      expect(child.exitCode).toBeNull();
      await fetch(`${address}/v1/coverages/${id}`, { method: "DELETE" });
      expect(await lastState(address, id)).toMatchObject({ state: "cancelled" });
      await post(address, ridgeRequest());
      await expectWholeResult(service, JSON.parse(undisturbed).id, 1, undisturbed);
    },
  );
});

describe.skipIf(!needs("redis-server", hasCommand("redis-server")))(
  "one of two workers on Redis that is killed",
  () => {
    let redis: RedisServer;
    let other: RunningWorker | undefined;
    beforeEach(async () => {
      redis = await spawnRedis();
    });
    afterEach(async () => {
      other?.child.kill("SIGKILL");
      await other?.ended;
      await redis.stop();
    });
    afterAll(() => service?.remove());

    test.each(POINTS)("at %s leaves the job to the other, with the same bytes (F1, F3)", async (point) => {
      const env = { ...LEASE, REDIS_URL: redis.url };
      service = await startService(env);
      const { address } = service;
      const doomed = await startWorker(service, { ...env, FAULT_POINT: `${point}:1` });
      const { id } = (await post(address, ridgeRequest())).body;
      expect(await doomed.ended).toEqual([null, "SIGKILL"]);
      await expectNothingVisible(address, id);

      other = await startWorker(service, env);
      await expectWholeResult(service, id, 2, undisturbed);
    });
  },
);
