import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, afterEach, expect, test } from "vitest";
import { requestExample } from "../openapi/request-example.ts";
import { type ApiServer, serve } from "../server.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

let server: ApiServer | undefined;
afterEach(() => server?.close(0));

/** A listening service with one queued job; `look` makes the shared poll look at the ledger once. */
async function listening() {
  const service = createFakeService(dir.path, { FELLMARK_PORT: "0" });
  const { body } = await request(service.app).post("/v1/coverages").send(requestExample);
  server = await serve(service.context);
  const look = async () => {
    service.ticker.tick(100);
    await new Promise(setImmediate);
  };
  const events = `${server.address}/v1/coverages/${body.id}/events`;
  return { ...service, server, events, id: String(body.id), look };
}

/** The blocks of a stream of server-sent events, one after the other; undefined at its end. */
async function open(address: string) {
  const controller = new AbortController();
  const reply = await fetch(address, { signal: controller.signal });
  const reader = reply.body?.pipeThrough(new TextDecoderStream()).getReader();
  let pending = "";
  const next = async (): Promise<string | undefined> => {
    while (!pending.includes("\n\n")) {
      const { done, value } = (await reader?.read()) ?? { done: true, value: undefined };
      if (done) return undefined;
      pending += value;
    }
    const end = pending.indexOf("\n\n");
    const block = pending.slice(0, end);
    pending = pending.slice(end + 2);
    return block;
  };
  return { reply, next, abort: () => controller.abort() };
}

const stateIn = (block: string | undefined) => JSON.parse(block?.split("data: ")[1] ?? "null");

test("the state comes at once, then each change once, and the stream ends with the job", async () => {
  const { events, ledger, id, look, ticker } = await listening();
  const { reply, next } = await open(events);
  expect(reply.headers.get("content-type")).toBe("text/event-stream; charset=utf-8");
  expect(reply.headers.get("content-encoding")).toBeNull();
  expect(stateIn(await next())).toMatchObject({ id, state: "queued", progress: 0 });
  await look();
  ledger.set(id, { state: "running", attempt: 1, progress: 0.25 });
  await look();
  expect(stateIn(await next())).toMatchObject({ state: "running", progress: 0.25 });
  ledger.set(id, { state: "done", progress: 1, files: [] });
  await look();
  const last = await next();
  expect(last).toMatch(/^id: end\nevent: state\n/);
  expect(stateIn(last)).toMatchObject({ state: "done", progress: 1 });
  expect(await next()).toBeUndefined();
  expect(ticker.running()).toBe(0);
});

test("an ended job answers once; a browser that asks again is told to stop", async () => {
  const { events, ledger, id } = await listening();
  ledger.set(id, { state: "failed", error: { code: "timeout", detail: "too slow" } });
  const { next } = await open(events);
  expect(stateIn(await next())).toMatchObject({ state: "failed", error: { code: "timeout" } });
  expect(await next()).toBeUndefined();
  const again = await fetch(events, { headers: { "Last-Event-ID": "end" } });
  expect(again.status).toBe(204);
});

test("any number of listeners share one poll, and it stops when the last one leaves", async () => {
  const { events, ledger, ticker, look } = await listening();
  const streams = await Promise.all(Array.from({ length: 5 }, () => open(events)));
  for (const { next } of streams) await next();
  let looks = 0;
  const find = ledger.find;
  ledger.find = (tenant, id) => {
    looks++;
    return find(tenant, id);
  };
  await look();
  expect(looks).toBe(1);
  for (const { abort } of streams) abort();
  await ticker.whenIdle();
});

test("a quiet stream is kept alive by comments", async () => {
  const { events, ticker } = await listening();
  const { next } = await open(events);
  await next();
  ticker.tick(15_000);
  expect(await next()).toBe(": still here");
});

test("the stream of a deleted job ends", async () => {
  const { events, ledger, look } = await listening();
  const { next } = await open(events);
  await next();
  ledger.rows.clear();
  await look();
  expect(await next()).toBeUndefined();
});

test("the end of the service ends its streams, and waits for no client", async () => {
  const { events, server } = await listening();
  const { next } = await open(events);
  await next();
  await server.close(10_000);
  expect(await next()).toBeUndefined();
});

test("a ledger that fails for a moment does not end the stream", async () => {
  const { events, ledger, id, look } = await listening();
  const { next } = await open(events);
  await next();
  const find = ledger.find;
  ledger.find = () => Promise.reject(new Error("busy"));
  await look();
  ledger.find = find;
  ledger.set(id, { state: "running", attempt: 1 });
  await look();
  expect(stateIn(await next())).toMatchObject({ state: "running" });
});

test("one caller has no more than 20 streams, so that it cuts no other", async () => {
  const { events } = await listening();
  const streams = await Promise.all(Array.from({ length: 20 }, () => open(events)));
  const beyond = await fetch(events);
  expect(beyond.status).toBe(429);
  expect(await beyond.json()).toMatchObject({ code: "too_many_streams" });
  for (const { abort } of streams) abort();
});
