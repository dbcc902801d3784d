import { readdirSync } from "node:fs";
import path from "node:path";
import { openPremisesShelf } from "@fellmark/premises";
import { createTempDir } from "@fellmark/testkit";
import { pino } from "pino";
import request from "supertest";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { createApp } from "../app.ts";
import { toConfig } from "../config.ts";
import { networkExample } from "../openapi/network-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
const shelf = openPremisesShelf(path.join(dir.path, "premises"));
const uploads = path.join(dir.path, "uploads");
afterAll(() => {
  shelf.close();
  dir.remove();
});

const { context } = createFakeService(dir.path);
const config = toConfig({ FELLMARK_DATA_DIR: dir.path });
const app = createApp({ ...context, config, premises: shelf, logger: pino({ level: "silent" }) });

const CSV = "id,address,lon,lat\n1,12 Alder Row,-72,44\n2,12 Alder Road,-72.1,44\nbad,1 Birch Row,x,44\n";

function post(body: string | Buffer, query = "", type = "text/csv") {
  return request(app).post(`/v1/premises${query}`).set("Content-Type", type).send(body);
}

test("before the first import nothing is known", async () => {
  const { body } = await request(app).get("/v1/premises?q=alder").expect(200);
  expect(body).toEqual({ version: 1, list: null, result: "not-known", hits: [] });
  await request(app).get("/v1/premises/1").expect(404);
});

describe("an imported list", () => {
  beforeAll(async () => {
    const { body } = await post(CSV).expect(200);
    expect(body).toMatchObject({
      rows: 3,
      imported: 2,
      byReason: { not_a_number: 1 },
      premises: { count: 2, added: 2 },
    });
    expect(readdirSync(uploads)).toEqual([]);
  });

  test("is searched as one types, and ties are shown", async () => {
    const { body } = await request(app).get("/v1/premises").query({ q: "12 aldr ro" }).expect(200);
    expect(body).toMatchObject({ list: { count: 2 }, result: "tie" });
    expect(body.hits).toHaveLength(2);
    const found = await request(app).get("/v1/premises").query({ q: "12 alder rd", typing: "false" }).expect(200);
    expect(found.body).toMatchObject({
      result: "found",
      hits: [{ id: "2", address: "12 Alder Road", lon: -72.1, lat: 44, qualityM: null, typos: 0 }],
    });
    const unknown = await request(app).get("/v1/premises").query({ q: "13 alder row" }).expect(200);
    expect(unknown.body).toMatchObject({ result: "not-known", hits: [] });
  });

  test("is asked for the nearest", async () => {
    const { body } = await request(app).get("/v1/premises?near=-72.09,44&limit=1").expect(200);
    expect(body.hits).toMatchObject([{ id: "2", distanceM: expect.any(Number) }]);
  });

  test("is read by id", async () => {
    const { body } = await request(app).get("/v1/premises/1").expect(200);
    expect(body).toEqual({ version: 1, id: "1", address: "12 Alder Row", lon: -72, lat: 44, qualityM: null });
    await request(app).get("/v1/premises/%00").expect(404);
  });

  test.each([
    ["", "either q or near"],
    ["?q=a&near=1,2", "either q or near"],
    ["?near=1", ""],
    ["?near=200,1", ""],
    ["?q=a&limit=0", ""],
    ["?q=a&q=b", ""],
    ["?q=a&colour=red", "unknown field"],
  ])("refuses the question %j", async (query, detail) => {
    const { body } = await request(app).get(`/v1/premises${query}`).expect(422);
    expect(body.detail).toContain(detail);
  });

  test("stays as it was when a file is refused", async () => {
    const refused = await post(Buffer.from("504b0304140006000800", "hex")).expect(422);
    expect(refused.body).toMatchObject({
      code: "unreadable_file",
      errors: [{ detail: "the file is a ZIP archive or a spreadsheet: save the sheet as CSV (UTF-8)" }],
    });
    await post("a,b\n1,2\n").expect(422);
    await post(CSV, "?map=nothing").expect(422);
    await post(CSV, "?colour=red").expect(422);
    await post(CSV, "", "application/pdf").expect(415);
    await request(app).get("/v1/premises/1").expect(200);
    expect(readdirSync(uploads)).toEqual([]);
  });

  test("gives way to a new one, or keeps what that does not have", async () => {
    const kept = await post(
      "nr;wo;x;y\n3;3 Birch Row;-72;44\n",
      "?map=id=nr,address=wo&keep=others&quality=parcel",
    ).expect(200);
    expect(kept.body.premises).toMatchObject({ count: 3, added: 1, removed: 0 });
    const { body } = await request(app).get("/v1/premises/3").expect(200);
    expect(body).toMatchObject({ qualityM: 50 });
    const features =
      '{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"address":"9 Birch Row"},"geometry":{"type":"Point","coordinates":[-72,44]}}]}';
    const replaced = await post(features, "", "application/geo+json").expect(200);
    expect(replaced.body.premises).toMatchObject({ count: 1, removed: 3 });
  });
});

test("swapped degrees are noticed by the sites of the network", async () => {
  const { app: other } = createFakeService(path.join(dir.path, "other"), { FELLMARK_DATA_DIR: dir.path });
  await request(other).put("/v1/network").send(networkExample).expect(201);
  const [{ lon, lat }] = networkExample.sites;
  const csv = `id,address,lon,lat\n1,1 Alder Row,${lon},${lat}\n2,2 Alder Row,${lat},${lon}\n`;
  const { body } = await request(other).post("/v1/premises").set("Content-Type", "text/csv").send(csv).expect(200);
  expect(body).toMatchObject({ imported: 1, byReason: { swapped: 1 } });
});

test("what was searched for stands in no log", async () => {
  const lines: string[] = [];
  const logger = pino({}, { write: (line: string) => void lines.push(line) });
  await request(createApp({ ...context, config, premises: shelf, logger }))
    .get("/v1/premises?q=secret+alder")
    .expect(200);
  expect(lines.join("")).toContain('"url":"/v1/premises"');
  expect(lines.join("")).not.toContain("secret");
});
