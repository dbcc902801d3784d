import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { networkExample } from "../openapi/network-example.ts";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService, createKnownGround } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const service = () => createFakeService(dir.path);
const turn = { kind: "turn", sector: "s1-n", azimuthDeg: 20 };
const comparison = { version: 1, base: requestExample, changes: [turn] };
const advice = { version: 1, base: requestExample, channels: [{ centreMhz: 5600, widthMhz: 20 }] };
const kinds = [
  { kind: "comparison", path: "/v1/comparisons", body: comparison },
  { kind: "advice", path: "/v1/advice", body: advice },
];

describe.each(kinds)("a $kind", ({ kind, path, body }) => {
  test("is queued once, and found at its own address only", async () => {
    const { app, ledger, queue } = service();
    const reply = await request(app).post(path).send(body).expect(202);
    const { id } = reply.body;
    expect(reply.headers.location).toBe(`${path}/${id}`);
    expect(reply.body.links).toEqual({ self: `${path}/${id}`, events: `${path}/${id}/events` });
    expect((await request(app).post(path).send(body).expect(200)).body).toEqual(reply.body);
    expect(ledger.rows.get(`default/${id}`)?.kind).toBe(kind);
    expect(queue.enqueued).toEqual([{ tenant: "default", id }]);
    await request(app).get(`${path}/${id}`).expect(200);
    for (const other of ["/v1/coverages", ...kinds.map((each) => each.path)].filter((address) => address !== path)) {
      await request(app).get(`${other}/${id}`).expect(404);
      await request(app).post(`${other}/${id}/retry`).expect(404);
      await request(app).delete(`${other}/${id}`).expect(404);
    }
  });

  test("is cancelled, run again and removed as a coverage is", async () => {
    const { app, ledger } = service();
    const { id } = (await request(app).post(path).send(body)).body;
    expect((await request(app).delete(`${path}/${id}`).expect(202)).body.state).toBe("cancelled");
    expect((await request(app).post(`${path}/${id}/retry`).expect(202)).body.state).toBe("queued");
    ledger.set(id, { state: "done", progress: 1, files: [] });
    await request(app).delete(`${path}/${id}`).expect(204);
    expect((await request(app).get(`${path}/${id}`).expect(404)).body.detail).toBe(`not found: no such ${kind}`);
  });

  test("holds the network of its base whole", async () => {
    const { app, ledger } = service();
    const base = { network: "current", area: { radiusM: 5_000 }, quality: "preview", outputs: ["tiers"] };
    const early = await request(app)
      .post(path)
      .send({ ...body, base })
      .expect(422);
    expect(early.body.errors).toMatchObject([{ pointer: "/base/network" }]);
    const { version } = (await request(app).put("/v1/network").send(networkExample)).body;
    const { id } = (
      await request(app)
        .post(path)
        .send({ ...body, base })
        .expect(202)
    ).body;
    expect(JSON.parse(ledger.rows.get(`default/${id}`)?.request ?? "").base).toMatchObject({
      area: { radiusM: 5_000, zoom: 12 },
      subscribers: [{ id: "u1" }, { id: "u2" }],
    });
    const byVersion = await request(app)
      .post(path)
      .send({ ...body, base: { ...base, network: version } })
      .expect(200);
    expect(byVersion.body.id).toBe(id);
    await request(app)
      .put("/v1/network")
      .send({ ...networkExample, name: "later" });
    await request(app)
      .post(path)
      .send({ ...body, base: { ...base, network: version } })
      .expect(200);
    expect(
      (
        await request(app)
          .post(path)
          .send({ ...body, base })
          .expect(202)
      ).body.id,
    ).not.toBe(id);
  });

  test.each<[object, string]>([
    [{ version: 2 }, "/version"],
    [{ colour: "red" }, "/colour"],
    [{ base: { ...requestExample, area: { radiusM: 99 } } }, "/base/area/radiusM"],
    [
      { base: { ...requestExample, sectors: [{ ...requestExample.sectors[0], radio: "nowhere" }] } },
      "/base/sectors/0/radio",
    ],
    [{ base: { network: "newest", area: { radiusM: 5_000 } } }, "/base/network"],
    [{ base: { network: "current", area: { radiusM: 99 } } }, "/base/area/radiusM"],
  ])("%j is refused at %s", async (values, pointer) => {
    const reply = await request(service().app)
      .post(path)
      .send({ ...body, ...values })
      .expect(422);
    expect(reply.body.errors.map((error: { pointer: string }) => error.pointer)).toEqual([pointer]);
  });

  test("whose mast stands on unknown ground is refused", async () => {
    const { app, compute } = service();
    compute.terrainFacts = async () => createKnownGround([null]);
    const reply = await request(app).post(path).send(body).expect(422);
    expect(reply.body).toMatchObject({ code: "mast_not_known", errors: [{ pointer: "/base/sites/0" }] });
  });
});

const UNREADABLE = { id: "measured", kind: "exchange", text: "REVDAT:,19990520" };

describe("what only one of them has", () => {
  test.each<[string, object, object, string]>([
    ["/v1/comparisons", comparison, { changes: [] }, "/changes"],
    ["/v1/comparisons", comparison, { changes: [{ ...turn, azimuthDeg: 360 }] }, "/changes/0/azimuthDeg"],
    ["/v1/comparisons", comparison, { changes: [turn, { ...turn, sector: "nowhere" }] }, "/changes/1/sector"],
    ["/v1/comparisons", comparison, { premises: [[-76.7, 91]] }, "/premises/0/1"],
    ["/v1/advice", advice, { channels: [] }, "/channels"],
    ["/v1/advice", advice, { channels: [advice.channels[0], advice.channels[0]] }, "/channels/1"],
    ["/v1/advice", advice, { sectors: ["nowhere"] }, "/sectors/0"],
    ["/v1/advice", advice, { growthPerMonth: 1.1 }, "/growthPerMonth"],
  ])("%s: a fault is named by its field (%#)", async (path, body, values, pointer) => {
    const reply = await request(service().app)
      .post(path)
      .send({ ...body, ...values })
      .expect(422);
    expect(reply.body.errors.map((error: { pointer: string }) => error.pointer)).toEqual([pointer]);
  });

  test.each<[object, string]>([
    [{ changes: [{ kind: "swap-antenna", sector: "s1-n", antenna: UNREADABLE }] }, "/changes/0/antenna/text"],
    [
      { base: { ...requestExample, antennas: [...requestExample.antennas, UNREADABLE] } },
      `/base/antennas/${requestExample.antennas.length}/text`,
    ],
  ])("a text that cannot be read is refused by its line (%#)", async (values, pointer) => {
    const reply = await request(service().app)
      .post("/v1/comparisons")
      .send({ ...comparison, ...values })
      .expect(422);
    expect(reply.body.errors).toEqual([{ pointer, detail: expect.stringMatching(/^line 1: /) }]);
  });

  test("the files of a comparison stand at their addresses", async () => {
    const { app, ledger, store } = service();
    const { id } = (await request(app).post("/v1/comparisons").send(comparison)).body;
    const address = `/v1/comparisons/${id}`;
    await request(app).get(`${address}/summary`).expect(404);
    const pictures = { "change.png": "png", "before.png": "png", "after.png": "png" };
    const files = store.put({ "summary.json": "{}", "change.geojson": "{}", ...pictures });
    ledger.set(id, { state: "done", progress: 1, files });
    const { links } = (await request(app).get(address)).body;
    expect(links).toMatchObject({
      summary: `${address}/summary`,
      change: `${address}/change.geojson`,
      changeMap: `${address}/change.png`,
    });
    await request(app)
      .get(links.summary)
      .expect(200)
      .expect("Content-Type", /application\/json/);
    await request(app)
      .get(links.change)
      .expect(200)
      .expect("Content-Type", /application\/geo\+json/);
    await request(app)
      .get(links.changeMap)
      .expect(200)
      .expect("Content-Type", /image\/png/);
    await request(app).get(`${address}/tiers.geojson`).expect(404);
  });
});
