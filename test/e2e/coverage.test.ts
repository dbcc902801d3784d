import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { lastState, post, type State, statesOf, stateWhere } from "./client.ts";
import { readDocumentation } from "./documented.ts";
import { longRequest, ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";

let service: RunningService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service.remove());

const erase = (id: string) => fetch(`${service.address}/v1/coverages/${id}`, { method: "DELETE" });

test("a coverage from request to result, and its end", async () => {
  const { address } = service;
  const posted = await post(address, ridgeRequest());
  expect(posted.status).toBe(202);
  const { id } = posted.body;
  const at = `${address}${posted.headers.get("location")}`;

  const states: State[] = [];
  for await (const state of statesOf(address, id)) states.push(state);
  const done = states.at(-1);
  expect(done).toMatchObject({ id, state: "done", progress: 1, attempt: 1, error: null });
  const progress = states.map((state) => state.progress);
  expect(progress).toEqual([...progress].sort((a, b) => a - b));

  const summary = (await (await fetch(`${at}/summary`)).json()) as { tiers: unknown[]; noService: { cells: number } };
  expect(summary).toMatchObject({ version: 1, id, lattice: { zoom: 12 }, notKnownShare: 0 });
  const documentation = await readDocumentation(address);
  expect(documentation.faults("/v1/coverages/{id}", done)).toEqual([]);
  expect(documentation.faults("/v1/coverages/{id}/summary", summary)).toEqual([]);
  expect(summary.tiers.length + summary.noService.cells).toBeGreaterThan(0);
  const tiers = await fetch(`${at}/tiers.geojson`);
  expect(tiers.headers.get("content-type")).toBe("application/geo+json");
  const polygons = await tiers.json();
  expect(polygons).toMatchObject({ type: "FeatureCollection" });
  expect(documentation.faults("/v1/coverages/{id}/tiers.geojson", polygons)).toEqual([]);
  const map = await fetch(`${at}/map.png`);
  expect(
    Buffer.from(await map.arrayBuffer())
      .subarray(1, 4)
      .toString(),
  ).toBe("PNG");
  const raster = await fetch(`${at}/rasters/signalDown.tif`);
  expect(
    Buffer.from(await raster.arrayBuffer())
      .subarray(0, 2)
      .toString(),
  ).toMatch(/^(II|MM)$/);
  const known = await fetch(`${at}/map.png`, { headers: { "If-None-Match": map.headers.get("etag") ?? "" } });
  expect(known.status).toBe(304);

  const again = await post(address, ridgeRequest());
  expect([again.status, again.body]).toMatchObject([200, done]);
  expect((await fetch(`${address}/health/ready`)).status).toBe(200);

  expect((await erase(id)).status).toBe(204);
  for (const below of ["", "/summary", "/map.png", "/events"]) expect((await fetch(at + below)).status).toBe(404);
  expect(service.dataFiles().filter((name) => name.includes(id))).toEqual([]);
});

test("the same request 100 times at once is one job (F14)", async () => {
  const body = ridgeRequest({ name: "hundred", area: { radiusM: 1_000, zoom: 12 } });
  const replies = await Promise.all(Array.from({ length: 100 }, () => post(service.address, body)));
  expect(replies.map(({ status }) => status).sort()).toEqual([...Array(99).fill(200), 202]);
  const ids = new Set(replies.map((reply) => reply.body.id));
  expect(ids.size).toBe(1);
  const [id = ""] = ids;
  expect(await lastState(service.address, id)).toMatchObject({ state: "done", attempt: 1 });
});

test("a mast beyond the terrain is refused before it is queued", async () => {
  const reply = await post<{ code: string; errors: unknown[] }>(service.address, ridgeRequest({ lon: -30 }));
  expect(reply.status).toBe(422);
  expect(reply.body).toMatchObject({ code: "mast_not_known", errors: [{ pointer: "/sites/0" }] });
});

describe("DELETE (F41)", () => {
  test("while one runs and one waits: both end cancelled, nothing is left", async () => {
    const { address } = service;
    const running = (await post(address, longRequest("runs"))).body.id;
    await stateWhere(address, running, ({ state }) => state === "running");
    const waiting = (await post(address, longRequest("waits"))).body.id;

    const cancelled = await erase(waiting);
    expect(cancelled.status).toBe(202);
    expect(await cancelled.json()).toMatchObject({ state: "cancelled" });
    for (let i = 0; i < 2; i++) expect((await erase(running)).status).toBe(202);
    expect(await lastState(address, running)).toMatchObject({ state: "cancelled" });

    for (const id of [running, waiting]) {
      expect((await erase(id)).status).toBe(204);
      expect((await erase(id)).status).toBe(404);
    }
    expect(service.dataFiles().filter((name) => name.includes(running) || name.includes(waiting))).toEqual([]);
  });

  test("and what was cancelled runs again on request", async () => {
    const { address } = service;
    const blocker = (await post(address, longRequest("blocks"))).body.id;
    const { id } = (await post(address, ridgeRequest({ name: "twice" }))).body;
    expect((await erase(id)).status).toBe(202);
    expect(await lastState(address, id)).toMatchObject({ state: "cancelled" });
    const retried = await fetch(`${address}/v1/coverages/${id}/retry`, { method: "POST" });
    expect(retried.status).toBe(202);
    await erase(blocker);
    expect(await lastState(address, id)).toMatchObject({ state: "done" });
  });
});
