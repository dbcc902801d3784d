import { gzipSync } from "node:zlib";
import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { createFakeService } from "../testing/fakes.ts";
import { LARGE_BODIES, MAX_BODY_BYTES } from "./json-body.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const post = () => request(createFakeService(dir.path).app).post("/v1/coverages");

// F42
test.each<[string, number, string, string | Buffer]>([
  ["no JSON", 400, "application/json", "{"],
  ["nothing", 400, "application/json", ""],
  ["49,000 levels", 400, "application/json", "[".repeat(49_000) + "]".repeat(49_000)],
  ["a byte order mark and a bare number", 422, "application/json", "\ufeff1"],
  ["a bare number", 422, "application/json", "1"],
  ["a list", 422, "application/json", "[]"],
  ["1 MB and a byte", 413, "application/json", `"${"a".repeat(MAX_BODY_BYTES - 1)}"`],
  ["text", 415, "text/plain", "{}"],
  ["a form", 415, "application/x-www-form-urlencoded", "version=1"],
  ["another charset", 415, "application/json; charset=latin1", "{}"],
])("a body of %s answers %i", async (_what, status, type, body) => {
  const reply = await post().set("Content-Type", type).send(body);
  expect(reply.status).toBe(status);
  expect(reply.type).toBe("application/problem+json");
  expect(reply.text).not.toMatch(/\bat \S+:\d+/);
});

test("a body without a content type answers 415", async () => {
  await post().unset("Content-Type").expect(415);
});

test("a compressed body is measured as it inflates", async () => {
  const bomb = gzipSync(Buffer.alloc(50_000_000, 32));
  const sent = post().set("Content-Type", "application/json").set("Content-Encoding", "gzip");
  const reply = await sent.serialize((body) => body).send(bomb);
  expect(reply.status).toBe(413);
});

test("one caller holds no more than 3 bodies over 1 MB at a time", async () => {
  const { app, context } = createFakeService(dir.path);
  const held = Array.from({ length: LARGE_BODIES.perCaller }, () => context.largeBodies.take("127.0.0.1"));
  const large = `"${"a".repeat(MAX_BODY_BYTES)}"`;
  const put = (body: string) => request(app).put("/v1/network").set("Content-Type", "application/json").send(body);
  expect((await put(large)).body).toMatchObject({ status: 429, code: "too_many_bodies" });
  await put('"small"').expect(422);
  held[0]?.();
  await put(large).expect(422);
  // The place is given back with the reply.
  await put(large).expect(422);
});

test("2.8 MB of unknown keys are refused before they are parsed, in a short reply and without a pause", async () => {
  const keys = Array.from({ length: 200_000 }, (_, index) => `"unknown${index}":0`);
  const started = performance.now();
  const reply = await request(createFakeService(dir.path).app)
    .post("/v1/comparisons")
    .type("json")
    .send(`{${keys.join(",")}}`)
    .expect(400);
  expect(reply.body.detail).toContain("10000 keys");
  expect(reply.text.length).toBeLessThan(1000);
  // It took 18 s and 88 MB; half a second allows for a busy machine.
  expect(performance.now() - started).toBeLessThan(2000);
});
