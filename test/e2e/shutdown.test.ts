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

test("SIGTERM ends open event streams; the job is there after the next start (F7)", async () => {
  service = await startService({ FELLMARK_SHUTDOWN_MS: "1000" });
  const { id } = (await post(service.address, longRequest("handed over"))).body;
  await stateWhere(service.address, id, ({ state }) => state === "running");
  const stream = statesOf(service.address, id);
  await stream.next();
  service.child.kill("SIGTERM");
  while (!(await stream.next()).done);
  expect(await service.ended).toEqual([0, null]);
});

test("a second signal ends it at once", async () => {
  service = await startService({ FELLMARK_SHUTDOWN_MS: "600000" });
  const { id } = (await post(service.address, longRequest("cut off"))).body;
  await stateWhere(service.address, id, ({ state }) => state === "running");
  service.child.kill("SIGTERM");
  service.child.kill("SIGTERM");
  const [code, signal] = await service.ended;
  expect(code ?? signal).not.toBe(0);
});

test("a setting that is not understood ends it with code 2 before it starts", () => {
  const { status, stderr } = spawnSync(process.execPath, [serviceMain], {
    env: { FELLMARK_PORT: "eighty" },
    encoding: "utf8",
  });
  expect(status).toBe(2);
  expect(JSON.parse(stderr)).toMatchObject({ code: "bad_configuration", problems: [{ pointer: "FELLMARK_PORT" }] });
});
