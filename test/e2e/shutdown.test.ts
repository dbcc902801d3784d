import { spawnSync } from "node:child_process";
import { afterEach, expect, test } from "vitest";
import { post, statesOf, stateWhere } from "./client.ts";
import { longRequest } from "./requests.ts";
import { type RunningService, serviceMain, startService } from "./service.ts";

let service: RunningService | undefined;
afterEach(() => service?.remove());

test.each(["SIGTERM", "SIGINT"] as const)("%s ends an idle service with code 0", async (signal) => {
  service = await startService();
  service.child.kill(signal);
  expect(await service.ended).toEqual([0, null]);
});

test("SIGTERM hands the running job over; it runs on after the next start (F7)", async () => {
  const first = await startService({ FELLMARK_SHUTDOWN_MS: "0" });
  service = first;
  const { id } = (await post(first.address, longRequest("handed over"))).body;
  await stateWhere(first.address, id, ({ state }) => state === "running");
  const stream = statesOf(first.address, id);
  await stream.next();
  first.child.kill("SIGTERM");
  while (!(await stream.next()).done);
  expect(await first.ended).toEqual([0, null]);

  service = await startService({}, first.dir);
  const state = await stateWhere(service.address, id, ({ state, attempt }) => state === "running" && attempt === 2);
  expect(state.error).toBeNull();
});

test("a second signal ends it at once", async () => {
  service = await startService({ FELLMARK_SHUTDOWN_MS: "600000" });
  const { id } = (await post(service.address, longRequest("cut off"))).body;
  await stateWhere(service.address, id, ({ state }) => state === "running");
  service.child.kill("SIGTERM");
  await service.output.waitFor(/"stopping"/);
  service.child.kill("SIGTERM");
  expect(await service.ended).toEqual([130, null]);
});

test("a setting that is not understood ends it with code 2 before it starts", () => {
  const { status, stderr } = spawnSync(process.execPath, [serviceMain], {
    env: { FELLMARK_PORT: "eighty" },
    encoding: "utf8",
  });
  expect(status).toBe(2);
  expect(JSON.parse(stderr)).toMatchObject({ code: "bad_configuration", problems: [{ pointer: "FELLMARK_PORT" }] });
});
