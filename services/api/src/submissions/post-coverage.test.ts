import { CLUTTER_CLASSES } from "@fellmark/network";
import { createTempDir } from "@fellmark/testkit";
import { FellmarkError, TransientError } from "@fellmark/units";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService, createKnownGround } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const service = (env?: Record<string, string>) => createFakeService(dir.path, env);

function withSite(site: Record<string, unknown>) {
  return { ...requestExample, sites: [{ ...requestExample.sites[0], ...site }] };
}

/** A beam of 60 by 60 degrees, 9 dBi: the columns of our own table. */
function pattern(): string {
  const row = (cut: string, angleDeg: number) =>
    `${cut},${angleDeg},${(9 - Math.min(12 * (angleDeg / 60) ** 2, 25)).toFixed(2)},V`;
  const around = Array.from({ length: 72 }, (_, index) => row("H", 5 * index - 180));
  const above = Array.from({ length: 37 }, (_, index) => row("V", 5 * index - 90));
  return ["cut,angleDeg,gainDbi,polarisation", ...around, ...above].join("\n");
}

function withAntenna(antenna: Record<string, unknown>) {
  return { ...requestExample, antennas: [...requestExample.antennas, { id: "measured", ...antenna }] };
}

describe("the text of an antenna's pattern file", () => {
  const at = `/antennas/${requestExample.antennas.length}`;
  const spoilt = pattern().replace("H,-170,-16.00,V", "H,-175,-16.00,V");

  test("is taken where it can be read, itself or under a shroud", async () => {
    const csv = { kind: "csv", gainDbi: 9, text: pattern() };
    const { app } = service();
    await request(app).post("/v1/coverages").send(withAntenna(csv)).expect(202);
    const shrouded = { kind: "shrouded", fromDeg: 60, reductionDb: 6, base: csv };
    await request(app).post("/v1/coverages").send(withAntenna(shrouded)).expect(202);
  });

  test.each<[string, Record<string, unknown>, string, string]>([
    ["in our columns", { kind: "csv", gainDbi: 9, text: spoilt }, "/text", "line 4: the angle -175 occurs twice"],
    [
      "with a gain that its beam cannot have",
      { kind: "csv", gainDbi: 14, text: pattern().replaceAll(/,(-?[\d.]+),V/g, (_, dbi) => `,${Number(dbi) + 5},V`) },
      "/text",
      "dB too high",
    ],
    ["of the exchange format", { kind: "exchange", text: "REVDAT:,19990520" }, "/text", "line 1: the record REVNUM"],
    [
      "under a shroud",
      { kind: "shrouded", fromDeg: 60, reductionDb: 6, base: { kind: "csv", gainDbi: 9, text: spoilt } },
      "/base/text",
      "line 4: ",
    ],
  ])("is refused by line before anything is queued: %s", async (_, antenna, below, reason) => {
    const { app, ledger } = service();
    const { body } = await request(app).post("/v1/coverages").send(withAntenna(antenna)).expect(422);
    expect(body.errors).toEqual([{ pointer: at + below, detail: expect.stringContaining(reason) }]);
    expect(ledger.rows.size).toBe(0);
  });
});

describe("a good request", () => {
  test("is queued once, with its address, and answered with 200 from then on", async () => {
    const { app, ledger, queue } = service();
    const first = await request(app).post("/v1/coverages").send(requestExample).expect(202);
    expect(first.body).toMatchObject({ state: "queued", progress: 0, attempt: 0, error: null });
    expect(first.headers.location).toBe(`/v1/coverages/${first.body.id}`);
    expect(first.body.links).toEqual({
      self: first.headers.location,
      events: `${first.headers.location}/events`,
    });
    const again = await request(app).post("/v1/coverages").send(requestExample).expect(200);
    expect(again.body).toEqual(first.body);
    expect(ledger.rows.size).toBe(1);
    expect(queue.enqueued).toEqual([{ tenant: "default", id: first.body.id }]);
  });

  test("sent 100 times at once makes one job (F14)", async () => {
    const { app, ledger, queue } = service();
    const post = () => request(app).post("/v1/coverages").send(requestExample);
    const replies = await Promise.all(Array.from({ length: 100 }, post));
    expect(replies.map((reply) => reply.status).sort()).toEqual([...Array(99).fill(200), 202]);
    expect(new Set(replies.map((reply) => reply.text)).size).toBe(1);
    expect(ledger.rows.size).toBe(1);
    expect(queue.enqueued).toHaveLength(1);
  });

  test("means the same with its keys in another order and its defaults spelled out", async () => {
    const { app } = service();
    const first = await request(app).post("/v1/coverages").send(requestExample);
    const reordered = Object.fromEntries(Object.entries({ ...requestExample, emitters: [] }).reverse());
    const again = await request(app).post("/v1/coverages").send(reordered).expect(200);
    expect(again.body.id).toBe(first.body.id);
  });

  test("never silently runs again after it failed", async () => {
    const { app, ledger, queue } = service();
    const { body } = await request(app).post("/v1/coverages").send(requestExample);
    ledger.set(body.id, { state: "failed", error: { code: "timeout", detail: "too slow" } });
    const again = await request(app).post("/v1/coverages").send(requestExample).expect(200);
    expect(again.body).toMatchObject({ state: "failed", error: { code: "timeout", detail: "too slow" } });
    expect(queue.enqueued).toHaveLength(1);
  });
});

describe("a bad field", () => {
  // F32: each is refused by the name of its field; -0 and the antimeridian are good.
  test.each([
    ["lat", "1"],
    ["lat", null],
    ["lat", 91],
    ["lat", 90],
    ["lat", -90],
    ["lat", 85.06],
    ["lon", 181],
    ["lon", -180.0000001],
    ["lon", [1]],
    ["lat", true],
  ])("%s %j answers 422 with its pointer", async (field, value) => {
    const reply = await request(service().app)
      .post("/v1/coverages")
      .send(withSite({ [field]: value }));
    expect(reply.status).toBe(422);
    expect(reply.type).toBe("application/problem+json");
    expect(reply.body).toMatchObject({ code: "invalid_input", status: 422, type: "about:blank" });
    expect(reply.body.errors[0].pointer).toBe(`/sites/0/${field}`);
  });

  test.each(["NaN", "1e999", "-1e999", "+1", "0x10", "01"])("lat %s is refused, never null", async (text) => {
    const body = JSON.stringify(withSite({ lat: 12345 })).replace("12345", text);
    const reply = await request(service().app).post("/v1/coverages").type("json").send(body);
    expect([400, 422]).toContain(reply.status);
    if (reply.status === 422) expect(reply.body.errors[0].pointer).toBe("/sites/0/lat");
  });

  test.each([{ lat: -0 }, { lon: 180 }, { lon: -180 }])("%j is taken", async (site) => {
    await request(service().app).post("/v1/coverages").send(withSite(site)).expect(202);
  });

  test("out of range names the limit", async () => {
    const reply = await request(service().app)
      .post("/v1/coverages")
      .send(withSite({ lon: 181 }));
    expect(reply.body.errors).toEqual([expect.objectContaining({ pointer: "/sites/0/lon", limit: 180 })]);
  });

  test("unknown keys are refused by name, __proto__ among them, and pollute nothing", async () => {
    const body = `{"__proto__":{"polluted":1},"colour":"red",${JSON.stringify(requestExample).slice(1)}`;
    const reply = await request(service().app).post("/v1/coverages").type("json").send(body).expect(422);
    expect(reply.body.errors.map((error: { pointer: string }) => error.pointer).sort()).toEqual([
      "/__proto__",
      "/colour",
    ]);
    expect("polluted" in {}).toBe(false);
  });

  test.each(["path-clutter", "end-clutter"])("built-up statistics are taken by the method %s", async (method) => {
    const body = { ...requestExample, model: { clutter: { class: "statistical" }, method } };
    await request(service().app).post("/v1/coverages").send(body).expect(202);
  });

  test("a map by the complete P.1812 is refused at its field: it is for answers", async () => {
    const body = { ...requestExample, model: { clutter: { class: "open" }, method: "p1812" } };
    const reply = await request(service().app).post("/v1/coverages").send(body).expect(422);
    expect(reply.body.errors.map(({ pointer }: { pointer: string }) => pointer)).toEqual(["/model/method"]);
  });

  // F27
  test.each([
    ["500 km", { radiusM: 500_000, cellM: 30 }, "/area/radiusM"],
    ["too many cells", { radiusM: 60_000, cellM: 2 }, "/area"],
  ])("%s is refused by its cost before it is queued", async (_what, area, pointer) => {
    const { app, ledger } = service();
    const reply = await request(app)
      .post("/v1/coverages")
      .send({ ...requestExample, area })
      .expect(422);
    expect(reply.body.errors[0]).toMatchObject({ pointer, limit: expect.any(Number) });
    expect(ledger.rows.size).toBe(0);
  });

  test("100,000 antennas do not fit in a body", async () => {
    const antennas = Array.from({ length: 100_000 }, (_, index) => ({ id: `a${index}`, kind: "tr38901" }));
    await request(service().app)
      .post("/v1/coverages")
      .send({ ...requestExample, antennas })
      .expect(413);
  });

  test("a key that stands twice counts with its last value", async () => {
    const body = JSON.stringify(requestExample).replace('"lat":', '"lat":1,"lat":');
    const { app, ledger } = service();
    const reply = await request(app).post("/v1/coverages").type("json").send(body).expect(202);
    expect(ledger.rows.get(`default/${reply.body.id}`)?.request).toContain('"lat":40.7763');
  });

  test("every clutter class of the schema is taken", async () => {
    const { app } = service();
    for (const name of CLUTTER_CLASSES) {
      await request(app)
        .post("/v1/coverages")
        .send({ ...requestExample, model: { clutter: { class: name } } })
        .expect(202);
    }
  });
});

describe("the mast check", () => {
  test("refuses a mast on ground that is not known, by its site", async () => {
    const { app, compute, ledger } = service();
    compute.terrainFacts = async () => createKnownGround([null]);
    const reply = await request(app).post("/v1/coverages").send(requestExample).expect(422);
    expect(reply.body).toMatchObject({ code: "mast_not_known", errors: [{ pointer: "/sites/0" }] });
    expect(ledger.rows.size).toBe(0);
  });

  test("tells beside 202, and again beside 200, what looks like a slip", async () => {
    const { app } = service();
    const cpe = { ...requestExample.cpe, powerDbm: 0.5 };
    for (const status of [202, 200]) {
      const { body } = await request(app)
        .post("/v1/coverages")
        .send({ ...requestExample, cpe, model: { clutter: { class: "open" } } })
        .expect(status);
      expect(body.findings).toMatchObject([{ code: "power_in_watts", pointer: "/cpe/powerDbm", severity: "warning" }]);
    }
  });

  test("names the area that the terrain covers for a mast outside it", async () => {
    const { app, compute } = service();
    const sets = [{ name: "default", kind: "bare", boxes: [[10, 50, 11, 51]] as [number, number, number, number][] }];
    compute.terrainFacts = async () => ({ ...createKnownGround([null]), sets });
    const { body } = await request(app).post("/v1/coverages").send(requestExample).expect(422);
    expect(body.errors[0].detail).toContain("covers longitude 10.00 to 11.00, latitude 50.00 to 51.00");
  });

  test("takes a mast at 0 m and below", async () => {
    const { app, compute } = service();
    compute.terrainFacts = async () => createKnownGround([0]);
    await request(app).post("/v1/coverages").send(requestExample).expect(202);
  });

  test.each(["worker_killed", "timeout", "source_changed", "raster_unreadable"])(
    "accepts nothing unchecked: %s of the child answers 503",
    async (code) => {
      const { app, compute, ledger } = service();
      compute.terrainFacts = () => Promise.reject(new FellmarkError(code, "no answer"));
      await request(app).post("/v1/coverages").send(requestExample).expect(503);
      expect(ledger.rows.size).toBe(0);
    },
  );

  test("gives no verdict on the mast while a raster cannot be used: 503", async () => {
    const { app, compute } = service();
    compute.terrainFacts = async () => createKnownGround([null]);
    const refused = (name: string) => async () => ({
      fingerprint: "t1",
      tiles: 1,
      refused: [{ name, reason: "short" }],
    });
    compute.terrainState = refused("N12W031.hgt");
    const reply = await request(app).post("/v1/coverages").send(requestExample).expect(503);
    expect(reply.body.code).toBe("terrain_not_ready");
    compute.terrainState = refused("notes.txt");
    await request(app).post("/v1/coverages").send(requestExample).expect(422);
  });

  test("answers 422 when there is no usable terrain", async () => {
    const { app, compute } = service();
    compute.terrainState = async () => Promise.reject(new FellmarkError("terrain_unusable", "no tile can be read"));
    const reply = await request(app).post("/v1/coverages").send(requestExample).expect(422);
    expect(reply.body).toMatchObject({ code: "terrain_unusable", detail: "no tile can be read" });
  });

  test("answers 503 when the terrain folder is missing, and does not say where it was looked for", async () => {
    const { app, compute } = service();
    const missing = new FellmarkError("terrain_dir_missing", "there is no terrain folder /srv/terrain");
    compute.terrainState = async () => Promise.reject(missing);
    const reply = await request(app).post("/v1/coverages").send(requestExample).expect(503);
    expect(reply.text).not.toContain("/srv");
  });

  test("answers 503 while the terrain is not read, also when it was read before", async () => {
    const { app, compute } = service();
    await request(app).post("/v1/coverages").send(requestExample).expect(202);
    compute.terrainState = async () => Promise.reject(new FellmarkError("worker_killed", "killed"));
    const refused = await request(app).post("/v1/coverages").send(requestExample).expect(503);
    expect(refused.body.code).toBe("terrain_not_ready");
    expect(refused.headers["retry-after"]).toMatch(/^\d+$/);
  });
});

describe("a busy or broken queue", () => {
  test("a tenant's next job over its share answers 429 with Retry-After; a known one is still answered", async () => {
    const { app } = service({ FELLMARK_MAX_UNFINISHED: "1" });
    await request(app).post("/v1/coverages").send(requestExample).expect(202);
    const other = { ...requestExample, name: "another" };
    const reply = await request(app).post("/v1/coverages").send(other).expect(429);
    expect(reply.body.code).toBe("too_many_jobs");
    expect(reply.headers["retry-after"]).toMatch(/^\d+$/);
    await request(app).post("/v1/coverages").send(requestExample).expect(200);
  });

  test("that does not answer gives 503 without a row (F9)", async () => {
    const { app, queue, ledger } = service();
    queue.failWith.check = new TransientError("queue_unavailable", "redis://:secret@host is down");
    const reply = await request(app).post("/v1/coverages").send(requestExample).expect(503);
    expect(reply.headers["retry-after"]).toMatch(/^\d+$/);
    expect(reply.text).not.toContain("secret");
    expect(ledger.rows.size).toBe(0);
  });

  test("that fails after the row is written leaves the job to the reconciler: 202", async () => {
    const { app, queue, ledger } = service();
    queue.failWith.enqueue = new TransientError("queue_unavailable", "gone");
    await request(app).post("/v1/coverages").send(requestExample).expect(202);
    expect(ledger.rows.size).toBe(1);
  });
});
