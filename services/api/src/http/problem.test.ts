import { tmpdir } from "node:os";
import { createTempDir } from "@fellmark/testkit";
import { FellmarkError, InputError } from "@fellmark/units";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { createFakeService } from "../testing/fakes.ts";
import { buildProblem, problemSchema } from "./problem.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const id = `j${"0".repeat(64)}`;

test.each([
  ["an Error", new Error("the password is swordfish")],
  ["a string", "the password is swordfish"],
  ["nothing", undefined],
])("a route that explodes with %s answers a fixed text and the request id", async (_what, thrown) => {
  const { app, ledger } = createFakeService(dir.path);
  ledger.find = () => Promise.reject(thrown);
  const reply = await request(app).get(`/v1/coverages/${id}`).expect(500);
  expect(reply.type).toBe("application/problem+json");
  expect(problemSchema.parse(reply.body)).toEqual({
    type: "about:blank",
    title: "Internal Server Error",
    status: 500,
    code: "internal_error",
    detail: "Something failed on our side; the request id finds it in the log.",
    requestId: reply.headers["x-request-id"],
  });
});

test.each([
  ["GET", "/nowhere", 404, "not_found"],
  ["GET", "/v1/coverages/%E0%A4%A", 400, "bad_request"],
  ["PUT", "/v1/coverages", 405, "method_not_allowed"],
  ["PUT", `/v1/coverages/${id}`, 405, "method_not_allowed"],
  ["POST", `/v1/coverages/${id}/summary`, 405, "method_not_allowed"],
  ["HEAD", `/v1/coverages/${id}/events`, 405, "method_not_allowed"],
  ["DELETE", "/openapi.json", 405, "method_not_allowed"],
  ["POST", "/docs/", 405, "method_not_allowed"],
] as const)("%s %s answers %i as a problem", async (method, address, status, code) => {
  const { app } = createFakeService(dir.path);
  const reply = await request(app)[method.toLowerCase() as "get" | "head" | "put" | "post" | "delete"](address);
  expect(reply.status).toBe(status);
  expect(reply.type).toBe("application/problem+json");
  if (method !== "HEAD") expect(problemSchema.parse(reply.body)).toMatchObject({ status, code });
  if (status === 405) expect(reply.headers.allow).toMatch(/^[A-Z, ]+$/);
});

test("too many requests from one address answer 429 with Retry-After", async () => {
  const { app } = createFakeService(dir.path, { FELLMARK_MAX_REQUESTS_PER_MINUTE: "1" });
  await request(app).get(`/v1/coverages/${id}`).expect(404);
  const reply = await request(app).get(`/v1/coverages/${id}`).expect(429);
  expect(problemSchema.parse(reply.body).code).toBe("rate_limited");
  expect(reply.headers["retry-after"]).toMatch(/^\d+$/);
  await request(app).get("/health/live").expect(200);
});

test("an X-Forwarded-For that no proxy of ours wrote does not buy more requests", async () => {
  const { app } = createFakeService(dir.path, { FELLMARK_MAX_REQUESTS_PER_MINUTE: "1" });
  await request(app).get(`/v1/coverages/${id}`).set("X-Forwarded-For", "192.0.2.1").expect(404);
  await request(app).get(`/v1/coverages/${id}`).set("X-Forwarded-For", "192.0.2.2").expect(429);
});

test("replies do not name what they were made with, and let a browser do nothing", async () => {
  const { app } = createFakeService(dir.path);
  const reply = await request(app).get("/health/live");
  expect(reply.headers["x-powered-by"]).toBeUndefined();
  expect(reply.headers["x-content-type-options"]).toBe("nosniff");
  expect(reply.headers["content-security-policy"]).toBe("default-src 'none';frame-ancestors 'none'");
});

test("an error that merely has a status is not believed", () => {
  expect(buildProblem(Object.assign(new Error("inner"), { status: 503 }), "r").status).toBe(500);
});

test.each([
  ["timeout", 503],
  ["memory", 503],
  ["worker_killed", 503],
  ["cancelled", 503],
  ["storage_failed", 503],
  ["source_changed", 503],
  ["storage_full", 507],
])("a call that was lost as %s answers %i with Retry-After, never 500", async (code, status) => {
  const { app, compute } = createFakeService(dir.path);
  compute.antennaReport = () => Promise.reject(new FellmarkError(code, "no space left on /var/lib/fellmark/data"));
  const horn = { id: "h", kind: "horn", form: "conical", diameterM: 0.2, slantLengthM: 0.4 };
  const body = { version: 1, antenna: horn, frequencyGhz: 5.6 };
  const reply = await request(app).post("/v1/antennas/parameters").send(body).expect(status);
  expect(reply.body.code).toBe(code);
  expect(reply.text).not.toContain("/var/lib");
  expect(reply.headers["retry-after"]).toMatch(/^\d+$/);
});

test.each([
  ["ENOSPC", 507, "storage_full"],
  ["EROFS", 503, "storage_failed"],
  ["EMFILE", 503, "storage_failed"],
])("a disk that fails with %s answers %i", (systemCode, status, code) => {
  const thrown = Object.assign(new Error(`${systemCode}: write '/var/lib/fellmark/uploads/x'`), { code: systemCode });
  const problem = buildProblem(thrown, "r1");
  expect(problem).toMatchObject({ status, code });
  expect(problem.detail).not.toContain("/var");
});

test("no path of the server's disk stands in a public error", () => {
  const path = `${tmpdir()}/terrain/n40.hgt`;
  const problem = buildProblem(new InputError([{ pointer: "/terrain/sets/0", detail: `cannot read ${path}` }]), "r1");
  expect(JSON.stringify(problem)).not.toContain(tmpdir());
  expect(problem.errors).toEqual([{ pointer: "/terrain/sets/0", detail: "cannot read [path]" }]);
});
