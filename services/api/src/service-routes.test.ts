import { existsSync, readFileSync } from "node:fs";
import { parseCoverageRequest } from "@fellmark/network";
import { tempDir } from "@fellmark/testkit";
import { TransientError } from "@fellmark/units";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { requestExample } from "./openapi/request-example.ts";
import { fakeService } from "./testing/fakes.ts";

const dir = tempDir();
afterAll(() => dir.remove());

describe("health", () => {
  test("is ready when ledger, queue and compute child answer", async () => {
    const { app } = fakeService(dir.path);
    await request(app).get("/health/live").expect(200, { status: "live" });
    await request(app).get("/health/ready").expect(200, { status: "ready" });
  });

  test("names what does not answer, and nothing more", async () => {
    const { app, queue, compute, ledger } = fakeService(dir.path);
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
  const { app } = fakeService(dir.path);
  await request(app).post("/v1/coverages").send(requestExample);
  await request(app).get(`/v1/coverages/j${"0".repeat(64)}`);
  const { text } = await request(app).get("/metrics").expect(200);
  expect(text).toContain("fellmark_jobs_unfinished 1");
  expect(text).toMatch(/fellmark_http_reply_seconds_count\{.*route="\/v1\/coverages\/:id",status="404"\} 1/);
});

interface Operation {
  parameters?: { in: string; name: string }[];
  responses: Record<string, unknown>;
  requestBody?: { content: Record<string, { example: unknown; schema: { $ref: string } }> };
}

interface OpenapiDocument {
  openapi: string;
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, { additionalProperties?: boolean; required?: string[] }> };
}

describe("openapi.json", () => {
  const read = async () =>
    (await request(fakeService(dir.path).app).get("/openapi.json").expect(200)).body as OpenapiDocument;

  test("is 3.1 and lists every address with its replies", async () => {
    const { openapi, paths } = await read();
    expect(openapi).toMatch(/^3\.1\./);
    expect(Object.keys(paths).sort()).toEqual([
      "/health/live",
      "/health/ready",
      "/metrics",
      "/openapi.json",
      "/v1/advice",
      "/v1/advice/{id}",
      "/v1/advice/{id}/events",
      "/v1/advice/{id}/retry",
      "/v1/advice/{id}/summary",
      "/v1/antennas/parameters",
      "/v1/batches",
      "/v1/batches/{id}",
      "/v1/batches/{id}/answers.csv",
      "/v1/batches/{id}/answers.geojson",
      "/v1/batches/{id}/events",
      "/v1/batches/{id}/retry",
      "/v1/batches/{id}/summary",
      "/v1/calibrations",
      "/v1/comparisons",
      "/v1/comparisons/{id}",
      "/v1/comparisons/{id}/after.png",
      "/v1/comparisons/{id}/before.png",
      "/v1/comparisons/{id}/change.geojson",
      "/v1/comparisons/{id}/change.png",
      "/v1/comparisons/{id}/events",
      "/v1/comparisons/{id}/retry",
      "/v1/comparisons/{id}/summary",
      "/v1/coverages",
      "/v1/coverages/{id}",
      "/v1/coverages/{id}/events",
      "/v1/coverages/{id}/map.png",
      "/v1/coverages/{id}/rasters/{name}.tif",
      "/v1/coverages/{id}/retry",
      "/v1/coverages/{id}/summary",
      "/v1/coverages/{id}/tiers.geojson",
      "/v1/installs",
      "/v1/network",
      "/v1/network/coverages",
      "/v1/network/schema",
      "/v1/network/versions",
      "/v1/network/versions/{version}",
      "/v1/premises",
      "/v1/premises/{id}",
      "/v1/serviceability",
      "/v1/serviceability/profile",
    ]);
    expect(Object.keys(paths["/v1/coverages"]?.post?.responses ?? {})).toEqual(
      expect.arrayContaining(["200", "202", "400", "413", "415", "422", "429", "503"]),
    );
  });

  test("declares what stands in braces in each address, and replies for each operation", async () => {
    for (const [address, operations] of Object.entries((await read()).paths)) {
      const inBraces = [...address.matchAll(/\{(\w+)\}/g)].map((match) => match[1]);
      for (const { parameters = [], responses } of Object.values(operations)) {
        expect(parameters.filter(({ in: place }) => place === "path").map(({ name }) => name)).toEqual(inBraces);
        expect(Object.keys(responses).length).toBeGreaterThan(0);
      }
    }
  });

  test("has no reference that leads nowhere", async () => {
    const document = await read();
    const references = [...JSON.stringify(document).matchAll(/"#\/components\/schemas\/([^"]+)"/g)].map(
      (match) => match[1],
    );
    expect(references).toContain("CoverageRequest");
    for (const name of references) expect(document.components.schemas).toHaveProperty(name ?? "");
  });

  test("describes the request as it comes in: defaults are optional, unknown keys are not allowed", async () => {
    const schema = (await read()).components.schemas.CoverageRequest;
    expect(schema?.additionalProperties).toBe(false);
    expect(schema?.required).not.toContain("quality");
    expect(schema?.required).toContain("sectors");
  });

  test("gives an example that the schema takes", async () => {
    const example = (await read()).paths["/v1/coverages"]?.post?.requestBody?.content["application/json"]?.example;
    expect(parseCoverageRequest(example).sectors).toHaveLength(2);
  });
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
    const { app } = fakeService(dir.path);
    const reply = await request(app).get("/docs/").expect(200);
    expect(reply.headers["content-security-policy"]).toContain("script-src 'self'");
    const addresses = [...reply.text.matchAll(/(?:src|href)="([^"]+)"/g)].map((match) => match[1] ?? "");
    for (const address of addresses.filter((address) => address !== "data:,")) {
      expect(address).toMatch(/^\/docs\//);
      await request(app).get(address).expect(200);
    }
  });

  test("serves nothing else of its library", async () => {
    const { app } = fakeService(dir.path);
    for (const name of ["package.json", "index.html", "..%2fpackage.json"]) {
      await request(app).get(`/docs/${name}`).expect(404);
    }
  });
});
