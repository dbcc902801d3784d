import { createTempDir } from "@fellmark/testkit";
import type { Express } from "express";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { createOpenapi } from "../openapi/openapi.ts";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const contents = {
  "summary.json": '{"version":1}',
  "tiers.geojson": `{"type":"FeatureCollection","features":[],"note":"${"x".repeat(2000)}"}`,
  "map.png": "picture",
  "rasters/loss.tif": "raster",
};

/** A service with one job in it, and its address. */
async function serviceWithJob() {
  const service = createFakeService(dir.path);
  const { body } = await request(service.app).post("/v1/coverages").send(requestExample).expect(202);
  return { ...service, id: String(body.id), at: `/v1/coverages/${body.id}` };
}

async function serviceWithResult() {
  const service = await serviceWithJob();
  service.ledger.set(service.id, { state: "done", progress: 1, attempt: 1, files: service.store.put(contents) });
  return service;
}

describe("state", () => {
  test("links to what exists, and every link answers", async () => {
    const { app, at } = await serviceWithResult();
    const { body } = await request(app).get(at).expect(200);
    expect(body.links).toEqual({
      self: at,
      events: `${at}/events`,
      summary: `${at}/summary`,
      tiers: `${at}/tiers.geojson`,
      map: `${at}/map.png`,
      "rasters/loss": `${at}/rasters/loss.tif`,
    });
    for (const address of Object.values<string>(body.links)) await request(app).get(address).expect(200);
  });

  // From the document, so that a route added later is asked too.
  const operations = Object.entries(createOpenapi("1").paths ?? {})
    .filter(([address]) => address.includes("{id}"))
    .flatMap(([address, methods]) => Object.keys(methods).map((method) => ({ method, address })));

  const answerTo = (app: Express, { method, address }: { method: string; address: string }, id: string) =>
    request(app)[method as "get" | "post" | "delete"](address.replace("{id}", id).replace("{name}", "loss"));

  const unknown: Record<string, string> = {
    coverages: "not found: no such coverage",
    comparisons: "not found: no such comparison",
    advice: "not found: no such advice",
    batches: "not found: no such batch",
    premises: "not found: no such premises",
  };
  const unknownAt = (address: string) => [404, unknown[address.split("/")[2] ?? ""]];

  test.each([`j${"0".repeat(64)}`, "unknown", "..%2f..%2fetc%2fpasswd", "%00", `j${"0".repeat(5_000)}`])(
    "of the id %s is the one 404 everywhere",
    async (id) => {
      const { app } = createFakeService(dir.path);
      expect(operations).toHaveLength(38);
      for (const operation of operations) {
        const { status, body } = await answerTo(app, operation, id);
        expect([status, body.detail]).toEqual(unknownAt(operation.address));
      }
    },
  );

  test("of another tenant's job is the same 404 everywhere (F35)", async () => {
    const { app, ledger, id } = await serviceWithResult();
    const job = ledger.rows.get(`default/${id}`);
    ledger.rows.clear();
    if (job) ledger.rows.set(`other/${id}`, { ...job, tenant: "other" });
    for (const operation of operations) {
      const { status, body } = await answerTo(app, operation, id);
      expect([status, body.detail]).toEqual(unknownAt(operation.address));
    }
    expect(ledger.rows.size).toBe(1);
  });
});

describe("results", () => {
  test.each([
    ["/summary", "application/json", "summary.json"],
    ["/tiers.geojson", "application/geo+json", "tiers.geojson"],
    ["/map.png", "image/png", "map.png"],
    ["/rasters/loss.tif", "image/tiff", "rasters/loss.tif"],
  ] as const)("%s comes as %s under its SHA-256, and as 304 when known", async (below, type, name) => {
    const { app, at } = await serviceWithResult();
    const reply = await request(app)
      .get(at + below)
      .buffer(true)
      .parse(bytesOf)
      .expect(200);
    expect(reply.type).toBe(type);
    expect(reply.body.toString()).toBe(contents[name]);
    expect(reply.headers.etag).toMatch(/^"[0-9a-f]{64}"$/);
    expect(reply.headers["cache-control"]).toBe("private, no-cache");
    const known = await request(app)
      .get(at + below)
      .set("If-None-Match", String(reply.headers.etag))
      .set("Cache-Control", "no-cache")
      .expect(304);
    expect(known.text).toBe("");
  });

  test("a part of a raster can be asked for", async () => {
    const { app, at } = await serviceWithResult();
    const reply = await request(app)
      .get(`${at}/rasters/loss.tif`)
      .set("Range", "bytes=1-3")
      .buffer(true)
      .parse(bytesOf);
    expect([reply.status, reply.body.toString()]).toEqual([206, "ast"]);
  });

  test("polygons travel compressed, pictures as they are", async () => {
    const { app, at } = await serviceWithResult();
    const tiers = await request(app).get(`${at}/tiers.geojson`).set("Accept-Encoding", "gzip");
    expect(tiers.headers["content-encoding"]).toBe("gzip");
    const map = await request(app).get(`${at}/map.png`).set("Accept-Encoding", "gzip");
    expect(map.headers["content-encoding"]).toBeUndefined();
  });

  test("a file that the result does not list is 404, wherever it lies", async () => {
    const { app, at } = await serviceWithResult();
    for (const name of ["nothing", "..%2fsummary.json%00", "%2e%2e%2f%2e%2e%2fsummary"]) {
      await request(app).get(`${at}/rasters/${name}.tif`).expect(404);
    }
  });

  test("before the end there are none", async () => {
    const { app, at } = await serviceWithJob();
    const reply = await request(app).get(`${at}/summary`).expect(404);
    expect(reply.body.detail).toBe("there is no result yet: the coverage is queued");
  });
});

describe("DELETE (F41)", () => {
  test("cancels a queued job at once and takes it from the queue; once more removes it", async () => {
    const { app, at, queue, id } = await serviceWithJob();
    const reply = await request(app).delete(at).expect(202);
    expect(reply.body.state).toBe("cancelled");
    expect(queue.removed).toEqual([{ tenant: "default", id }]);
    await request(app).delete(at).expect(204);
    await request(app).delete(at).expect(404);
  });

  test("asks a running job to stop, again and again", async () => {
    const { app, at, ledger, id } = await serviceWithJob();
    ledger.set(id, { state: "running", attempt: 1 });
    for (let i = 0; i < 2; i++) await request(app).delete(at).expect(202);
    expect(ledger.rows.get(`default/${id}`)).toMatchObject({ state: "running", cancelRequested: true });
  });

  test("removes a result for good", async () => {
    const { app, at, store, id } = await serviceWithResult();
    await request(app).delete(at).expect(204);
    expect(store.removed).toEqual([id]);
    for (const below of ["", "/summary", "/map.png"])
      await request(app)
        .get(at + below)
        .expect(404);
  });
});

describe("retry", () => {
  test.each(["failed", "cancelled", "expired"] as const)("queues a %s job again", async (state) => {
    const { app, at, ledger, id, queue } = await serviceWithJob();
    ledger.set(id, { state });
    const reply = await request(app).post(`${at}/retry`).expect(202);
    expect(reply.body.state).toBe("queued");
    expect(queue.enqueued).toHaveLength(2);
  });

  test("leaves a result alone", async () => {
    const { app, at, queue } = await serviceWithResult();
    await request(app).post(`${at}/retry`).expect(200);
    expect(queue.enqueued).toHaveLength(1);
  });
});

/** Reads a reply of any type as bytes. */
function bytesOf(reply: request.Response, done: (error: Error | null, body: Buffer) => void): void {
  const chunks: Buffer[] = [];
  const stream = reply as unknown as NodeJS.ReadableStream;
  stream.on("data", (chunk: Buffer) => chunks.push(chunk));
  stream.on("end", () => done(null, Buffer.concat(chunks)));
}
