import { existsSync, readFileSync } from "node:fs";
import { parseCoverageRequest } from "@fellmark/network";
import { createTempDir } from "@fellmark/testkit";
import { TransientError } from "@fellmark/units";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { requestExample } from "./openapi/request-example.ts";
import { createFakeService } from "./testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

describe("health", () => {
  test("is ready when ledger, queue and compute child answer", async () => {
    const { app } = createFakeService(dir.path);
    await request(app).get("/health/live").expect(200, { status: "live" });
    await request(app).get("/health/ready").expect(200, { status: "ready" });
  });

  test("names what does not answer, and nothing more", async () => {
    const { app, queue, compute, ledger } = createFakeService(dir.path);
    queue.failWith.check = new TransientError("queue_unavailable", "redis://:secret@host");
    compute.terrainState = () => new Promise(() => undefined);
    ledger.check = () => Promise.reject(new Error("disk full"));
    const reply = await request(app).get("/health/ready").expect(503);
    expect(reply.body.code).toBe("not_ready");
    expect(reply.body.errors.map((error: { pointer: string }) => error.pointer)).toEqual([
      "/ledger",
      "/queue",
      "/terrain",
    ]);
    expect(reply.text).not.toMatch(/secret|disk/);
    expect(reply.headers["retry-after"]).toMatch(/^\d+$/);
    await request(app).get("/health/live").expect(200);
  });
});

test("metrics count jobs and time replies by route pattern", async () => {
  const { app } = createFakeService(dir.path);
  await request(app).post("/v1/coverages").send(requestExample);
  await request(app).get(`/v1/coverages/j${"0".repeat(64)}`);
  const { text } = await request(app).get("/metrics").expect(200);
  expect(text).toContain("fellmark_jobs_unfinished 1");
  expect(text).toMatch(/fellmark_http_reply_seconds_count\{.*route="\/v1\/coverages\/:id",status="404"\} 1/);
});

const readme = new URL("../../../README.md", import.meta.url);

test.skipIf(!existsSync(readme))("every request in the README is one that the schema takes", () => {
  const blocks = [...readFileSync(readme, "utf8").matchAll(/\{"version":\s*1[\s\S]*?(?=\n```|'\n|\nEOF)/g)];
  for (const [text] of blocks.filter(([block]) => block.includes('"sectors"') && block.includes('"cpe"'))) {
    expect(() => parseCoverageRequest(JSON.parse(text))).not.toThrow();
  }
});

describe("the API page", () => {
  test("loads nothing from elsewhere, and its policy says so", async () => {
    const { app } = createFakeService(dir.path);
    const reply = await request(app).get("/docs/").expect(200);
    expect(reply.headers["content-security-policy"]).toContain("script-src 'self'");
    const addresses = [...reply.text.matchAll(/(?:src|href)="([^"]+)"/g)].map((match) => match[1] ?? "");
    for (const address of addresses.filter((address) => address !== "data:,")) {
      expect(address).toMatch(/^\/docs\//);
      await request(app).get(address).expect(200);
    }
  });

  test("serves nothing else of its library", async () => {
    const { app } = createFakeService(dir.path);
    for (const name of ["package.json", "index.html", "..%2fpackage.json"]) {
      await request(app).get(`/docs/${name}`).expect(404);
    }
  });
});
