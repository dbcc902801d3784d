import { createTempDir } from "@fellmark/testkit";
import request from "supertest";
import { afterAll, expect, test } from "vitest";
import { networkExample } from "../openapi/network-example.ts";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const leads = { text: "id,address\n1,12 Alder Row\n" };
const batch = { version: 1, source: { request: requestExample }, leads };

test("a batch is queued once, with the list of premises that it is asked of", async () => {
  const { app, ledger, queue } = createFakeService(dir.path);
  const { body, headers } = await request(app).post("/v1/batches").send(batch).expect(202);
  expect(headers.location).toBe(`/v1/batches/${body.id}`);
  expect(queue.enqueued).toHaveLength(1);
  const [row] = ledger.rows.values();
  expect(row.kind).toBe("batch");
  expect(JSON.parse(row.request)).toMatchObject({ premises: "p1", leads: { ...leads, map: "" } });
  await request(app).post("/v1/batches").send(batch).expect(200);
  const other = await request(app)
    .post("/v1/batches")
    .send({ ...batch, plan: requestExample.plans[0].id })
    .expect(202);
  expect(other.body.id).not.toBe(body.id);
});

test("a network that was put answers, and stands in the job whole", async () => {
  const { app, ledger } = createFakeService(dir.path);
  const named = { ...batch, source: { network: "current", radiusM: 10_000 } };
  await request(app).post("/v1/batches").send(named).expect(404);
  await request(app).put("/v1/network").send(networkExample).expect(201);
  await request(app).post("/v1/batches").send(named).expect(202);
  const [row] = ledger.rows.values();
  expect(JSON.parse(row.request).source).toMatchObject({ document: { version: 1 }, radiusM: 10_000 });
});

test.each([
  ["a CPE that the network has not", { cpe: "no-cpe" }, "/source/cpe"],
  ["a network that was never put", { network: `n${"0".repeat(64)}` }, "/source/network"],
])("refuses %s where it stands", async (_name, change, pointer) => {
  const { app } = createFakeService(dir.path);
  await request(app).put("/v1/network").send(networkExample).expect(201);
  const source = { network: "current", radiusM: 10_000, ...change };
  const { body } = await request(app)
    .post("/v1/batches")
    .send({ ...batch, source })
    .expect(422);
  expect(body.errors).toMatchObject([{ pointer }]);
});

test("results are linked and served when the job is done", async () => {
  const { app, ledger, store } = createFakeService(dir.path);
  const { body } = await request(app).post("/v1/batches").send(batch).expect(202);
  const files = store.put({ "answers.csv": "row\r\n2\r\n", "answers.geojson": "{}", "summary.json": "{}" });
  ledger.set(body.id, { state: "done", progress: 1, files });
  const done = await request(app).get(`/v1/batches/${body.id}`).expect(200);
  const self = `/v1/batches/${body.id}`;
  expect(done.body.links).toMatchObject({
    answers: `${self}/answers.csv`,
    answersMap: `${self}/answers.geojson`,
    summary: `${self}/summary`,
  });
  const csv = await request(app).get(done.body.links.answers).expect(200);
  expect(csv.headers["content-type"]).toMatch(/^text\/csv/);
  expect(csv.text).toBe("row\r\n2\r\n");
});

test.each([
  ["no leads", { leads: { text: "" } }, "/leads/text"],
  ["a plan that is not sold", { plan: "p1000000" }, "/plan"],
  ["a field that there is not", { colour: "red" }, "/colour"],
  ["an unknown system of points", { leads: { ...leads, crs: 0 } }, "/leads/crs"],
])("refuses %s", async (_name, change, pointer) => {
  const { app } = createFakeService(dir.path);
  const { body } = await request(app)
    .post("/v1/batches")
    .send({ ...batch, ...change })
    .expect(422);
  expect(body.errors).toMatchObject([{ pointer }]);
});
