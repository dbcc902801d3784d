import { createTempDir } from "@fellmark/testkit";
import { TerrainError } from "@fellmark/units";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { MAX_NETWORK_BYTES } from "../http/json-body.ts";
import { networkExample } from "../openapi/network-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const service = () => createFakeService(dir.path);
const [north, south] = networkExample.sectors;
const renamed = { ...networkExample, name: "second" };

describe("PUT /v1/network", () => {
  test("answers 201 with version and number, and 200 to the same again", async () => {
    const { app } = service();
    const first = await request(app).put("/v1/network").send(networkExample).expect(201);
    const findings = [expect.objectContaining({ code: "clutter_missing", severity: "hint" })];
    expect(first.body).toEqual({ version: expect.stringMatching(/^n[0-9a-f]{64}$/), number: 1, findings });
    expect(first.headers).toMatchObject({ etag: `"${first.body.version}"`, location: "/v1/network" });
    const again = await request(app)
      .put("/v1/network")
      .send({ ...networkExample, emitters: [] })
      .expect(200);
    expect(again.body).toEqual(first.body);
    const second = await request(app).put("/v1/network").send(renamed).expect(201);
    expect(second.body).toMatchObject({ number: 2 });
  });

  test("opens a new network ahead of whoever asks it first", async () => {
    const { app, answers, context } = service();
    const { body } = await request(app).put("/v1/network").send(networkExample).expect(201);
    await request(app).put("/v1/network").send(networkExample).expect(200);
    const source = { network: { version: body.version }, radiusM: 15_000 };
    expect(answers.prepared).toMatchObject([{ source, terrainDir: context.config.terrainDir }]);
  });

  test("with If-Match replaces the version that was meant, or answers 412", async () => {
    const { app } = service();
    await request(app).put("/v1/network").set("If-Match", "*").send(networkExample).expect(412);
    const { headers } = await request(app).put("/v1/network").send(networkExample).expect(201);
    await request(app).put("/v1/network").set("If-Match", String(headers.etag)).send(renamed).expect(201);
    const late = await request(app).put("/v1/network").set("If-Match", String(headers.etag)).send(networkExample);
    expect([late.status, late.body.code]).toEqual([412, "precondition_failed"]);
    await request(app).put("/v1/network").set("If-Match", "*").send(networkExample).expect(201);
  });

  test("names what looks like a slip, and keeps it as it was sent", async () => {
    const { app } = service();
    const sectors = [{ ...north, heightAglM: 130 }, south];
    const { body } = await request(app)
      .put("/v1/network")
      .send({ ...networkExample, sectors, model: { clutter: { class: "open" } } })
      .expect(201);
    // The ground of the fake stands at 100 m.
    expect(body.findings).toMatchObject([{ code: "height_above_sea", pointer: "/sectors/0/heightAglM", row: "s1-n" }]);
    expect((await request(app).get("/v1/network")).body.sectors[0].heightAglM).toBe(130);
  });

  test("is refused where the text of an antenna's file cannot be read", async () => {
    const { app } = service();
    const antennas = [...networkExample.antennas, { id: "measured", kind: "exchange", text: "REVNUM:,?" }];
    const { body } = await request(app)
      .put("/v1/network")
      .send({ ...networkExample, antennas })
      .expect(422);
    const pointer = `/antennas/${networkExample.antennas.length}/text`;
    expect(body.errors).toEqual([{ pointer, detail: expect.stringMatching(/^line 2: the record REVDAT/) }]);
    await request(app).get("/v1/network").expect(404);
  });

  test("is kept where the terrain does not answer", async () => {
    const { app, compute } = service();
    compute.terrainFacts = () => Promise.reject(new TerrainError("terrain_dir_missing", "no folder"));
    await request(app).put("/v1/network").send(networkExample).expect(201);
  });

  test.each<[object, string]>([
    [{ zoom: undefined }, "/zoom"],
    [{ cpes: [] }, "/cpes"],
    [{ colour: "red" }, "/colour"],
    [{ sectors: [{ ...north, site: "nowhere" }, south] }, "/sectors/0/site"],
    [{ subscribers: [{ ...networkExample.subscribers?.[0], plan: "nowhere" }] }, "/subscribers/0/plan"],
  ])("%j is refused by its field, and nothing is kept", async (values, pointer) => {
    const { app } = service();
    const reply = await request(app)
      .put("/v1/network")
      .send({ ...networkExample, ...values })
      .expect(422);
    expect(reply.body.errors).toMatchObject([{ pointer }]);
    await request(app).get("/v1/network").expect(404);
  });

  test("takes 5,000 subscribers, and no more than 20 MB", async () => {
    const { app } = service();
    const [subscriber] = networkExample.subscribers ?? [];
    const subscribers = Array.from({ length: 5_000 }, (_, index) => ({
      ...subscriber,
      id: `u${index}`,
      premises: "x".repeat(200),
    }));
    const body = JSON.stringify({ ...networkExample, subscribers });
    expect(body.length).toBeGreaterThan(1_000_000);
    const put = () => request(app).put("/v1/network").type("json");
    await put().send(body).expect(201);
    await put()
      .send(`{"name":"${"x".repeat(MAX_NETWORK_BYTES)}"}`)
      .expect(413);
  });
});

describe("GET of a network", () => {
  test("is canonical, is returned by version, and costs a 304 when it is known", async () => {
    const { app } = service();
    const { body } = await request(app).put("/v1/network").send(networkExample);
    await request(app).put("/v1/network").send(renamed);
    const current = await request(app).get("/v1/network").expect(200);
    expect(current.body).toMatchObject({ name: "second", emitters: [], cpes: [{ id: "standard", chains: 2 }] });
    await request(app).get("/v1/network").set("If-None-Match", String(current.headers.etag)).expect(304);
    const first = await request(app).get(`/v1/network/versions/${body.version}`).expect(200);
    expect([first.body.name, first.headers.etag]).toEqual(["north ridge", `"${body.version}"`]);
    await request(app).put("/v1/network").send(first.body).expect(201);
    const { versions } = (await request(app).get("/v1/network/versions").expect(200)).body;
    expect(versions.map(({ number }: { number: number }) => number)).toEqual([3, 2, 1]);
    expect(versions[2]).toEqual({ version: body.version, number: 1, createdAt: "1970-01-01T00:00:00.000Z" });
  });

  test("has a schema", async () => {
    const { body } = await request(service().app).get("/v1/network/schema").expect(200);
    expect(body.required).toEqual(expect.arrayContaining(["zoom", "sites", "cpes"]));
  });

  test("answers 404 before the first, 405 to other methods", async () => {
    const { app } = service();
    await request(app).get("/v1/network").expect(404);
    await request(app).get("/v1/network/versions/n0").expect(404);
    expect((await request(app).delete("/v1/network").expect(405)).headers.allow).toBe("GET, HEAD, PUT");
  });
});

describe("POST /v1/network/coverages", () => {
  test("queues the coverage of the current network", async () => {
    const { app, ledger, queue } = service();
    await request(app)
      .post("/v1/network/coverages")
      .send({ area: { radiusM: 5_000 } })
      .expect(404);
    await request(app).put("/v1/network").send(networkExample);
    const reply = await request(app)
      .post("/v1/network/coverages")
      .send({ area: { radiusM: 5_000 } })
      .expect(202);
    expect(reply.headers.location).toBe(`/v1/coverages/${reply.body.id}`);
    await request(app).get(String(reply.headers.location)).expect(200);
    const job = ledger.rows.get(`default/${reply.body.id}`);
    expect(job?.kind).toBe("coverage");
    expect(JSON.parse(job?.request ?? "")).toMatchObject({
      area: { radiusM: 5_000, zoom: 12 },
      subscribers: [{ id: "u1" }, {}],
      networkVersion: (await request(app).get("/v1/network").expect(200)).headers.etag?.slice(1, -1),
    });
    expect(queue.enqueued).toHaveLength(1);
    await request(app)
      .post("/v1/network/coverages")
      .send({ area: { radiusM: 5_000 } })
      .expect(200);
  });

  test.each<[object, string]>([
    [{}, "/area"],
    [{ area: { radiusM: 99 } }, "/area/radiusM"],
    [{ area: { radiusM: 5_000, zoom: 12 } }, "/area/zoom"],
    [{ area: { radiusM: 5_000 }, cpe: "nowhere" }, "/cpe"],
    [{ area: { radiusM: 5_000 }, quality: "best" }, "/quality"],
  ])("%j is refused at %s", async (body, pointer) => {
    const { app } = service();
    await request(app).put("/v1/network").send(networkExample);
    const reply = await request(app).post("/v1/network/coverages").send(body).expect(422);
    expect(reply.body.errors).toMatchObject([{ pointer }]);
  });
});
