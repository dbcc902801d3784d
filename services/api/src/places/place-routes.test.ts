import { createTempDir } from "@fellmark/testkit";
import { FellmarkError, InputError } from "@fellmark/units";
import request from "supertest";
import { afterAll, describe, expect, test } from "vitest";
import { networkExample } from "../openapi/network-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const dir = createTempDir();
afterAll(() => dir.remove());

const at = [-76.7488, 40.8];

/** A service whose tenant has put the example network. */
async function service() {
  const fakes = createFakeService(dir.path);
  const { body } = await request(fakes.app).put("/v1/network").send(networkExample).expect(201);
  const post = (address: string, sent: object) =>
    request(fakes.app)
      .post(address)
      .send({ version: 1, ...sent });
  return { ...fakes, version: body.version as string, post };
}

describe("POST /v1/serviceability", () => {
  test("asks the answering child by the version of the network, for the day that it is", async () => {
    const { post, answers, version } = await service();
    const { body } = await post("/v1/serviceability", { place: { at } }).expect(200);
    expect(body).toMatchObject({ verdict: "serviceable", place: { at: { lon: at[0], lat: at[1] }, premises: null } });
    expect(answers.asked[0].task).toMatchObject({
      source: { network: { version }, radiusM: 15_000 },
      question: { at: { lon: at[0], lat: at[1] }, locationAccuracyM: 0, asOf: "2026-11-25", withProfile: false },
    });
  });

  test("hands on CPE, height, plan, day, radius and the quality of the point", async () => {
    const { post, answers } = await service();
    const more = { cpe: "standard", heightAglM: 9, plan: "p25", asOf: "2026-01-31", radiusM: 8000, profile: true };
    await post("/v1/serviceability", { place: { at, quality: "interpolated" }, ...more }).expect(200);
    expect(answers.asked[0].task).toMatchObject({
      source: { radiusM: 8000, cpe: "standard" },
      question: { locationAccuracyM: 150, heightAglM: 9, plan: "p25", asOf: "2026-01-31", withProfile: true },
    });
  });

  test("answers from an earlier version where that is named", async () => {
    const { app, post, answers, version } = await service();
    await request(app)
      .put("/v1/network")
      .send({ ...networkExample, name: "changed" })
      .expect(201);
    await post("/v1/serviceability", { place: { at }, network: version }).expect(200);
    expect(answers.asked[0].task).toMatchObject({ source: { network: { version } } });
    const { body } = await post("/v1/serviceability", { place: { at }, network: `n${"0".repeat(64)}` }).expect(422);
    expect(body.errors).toMatchObject([{ pointer: "/network" }]);
  });

  test("is 404 before the first network was put", async () => {
    const { app } = createFakeService(dir.path);
    await request(app).post("/v1/serviceability").send({ version: 1, place: { at } }).expect(404);
  });
});

describe("a place by its address", () => {
  const row = (id: string, address: string, qualityM: number | null = 50) => ({
    id,
    address,
    lon: -76.7,
    lat: 40.8,
    qualityM,
  });

  test("is that of the premises that have it, with their quality", async () => {
    const { post, premises, answers } = await service();
    premises.rows.push(row("h1", "3 Mill Lane"), row("h2", "4 Mill Lane", null));
    const { body } = await post("/v1/serviceability", { place: { address: "3 Mill" } }).expect(200);
    expect(body.place).toMatchObject({ premises: "h1", address: "3 Mill Lane", locationAccuracyM: 50 });
    await post("/v1/serviceability", { place: { premises: "h2" } }).expect(200);
    expect(answers.asked.map(({ task }) => task)).toMatchObject([
      { question: { locationAccuracyM: 50 } },
      { question: { locationAccuracyM: 150 } },
    ]);
  });

  test("is never guessed: none and several are said as such", async () => {
    const { post, premises, answers } = await service();
    premises.rows.push(row("h1", "3 Mill Lane"), row("h2", "4 Mill Lane"));
    const none = await post("/v1/serviceability", { place: { address: "9 Nowhere" } }).expect(200);
    expect(none.body).toEqual({
      version: 1,
      verdict: "not-known",
      place: null,
      reason: "no such address is known",
      matches: [],
    });
    const several = await post("/v1/serviceability", { place: { address: "Mill Lane" } }).expect(200);
    expect(several.body.verdict).toBe("not-known");
    expect(several.body.matches.map(({ premises }: { premises: string }) => premises)).toEqual(["h1", "h2"]);
    expect(answers.asked).toEqual([]);
  });

  test("with a script in it is returned as text in JSON, whatever it is", async () => {
    const { post, premises } = await service();
    const hostile = `<script>alert("1")</script>\u202e'; DROP TABLE premises; --`;
    premises.rows.push(row("h1", `1 ${hostile}`), row("h2", `2 ${hostile}`));
    const reply = await post("/v1/serviceability", { place: { address: hostile } }).expect(200);
    expect(reply.headers["content-type"]).toMatch(/^application\/json/);
    expect(reply.headers["x-content-type-options"]).toBe("nosniff");
    expect(reply.body.matches[0].address).toBe(`1 ${hostile}`);
  });

  test("refuses premises that are not there", async () => {
    const { post } = await service();
    const { body } = await post("/v1/serviceability", { place: { premises: "h9" } }).expect(422);
    expect(body.errors).toMatchObject([{ pointer: "/place/premises" }]);
  });
});

describe("the answering child", () => {
  test("that lost the call is 503 with Retry-After", async () => {
    const { post, answers } = await service();
    answers.serviceability = async () => {
      throw new FellmarkError("worker_killed", "the compute child ended");
    };
    const { body, headers } = await post("/v1/serviceability", { place: { at } }).expect(503);
    expect(body.code).toBe("worker_killed");
    expect(headers["retry-after"]).toBe("2");
  });

  test("that finds the input or the terrain at fault is 422, and 500 where it is at fault itself", async () => {
    const { post, answers } = await service();
    const failWith = (error: Error) => {
      answers.serviceability = async () => Promise.reject(error);
      return post("/v1/serviceability", { place: { at } });
    };
    await failWith(new InputError([{ pointer: "/cpe", detail: "no such CPE" }])).expect(422);
    await failWith(new FellmarkError("mast_not_known", "the ground is not known")).expect(422);
    await failWith(new FellmarkError("terrain_set_empty", "no file")).expect(422);
    const { body } = await failWith(new FellmarkError("internal_error", "a secret path")).expect(500);
    expect(JSON.stringify(body)).not.toContain("secret");
  });

  const question = (caller: string, network = "n1") => ({ caller, network, signal: new AbortController().signal });

  test("is not taken by one caller alone: with all its questions open, others are answered", async () => {
    const { context, answers } = createFakeService(dir.path);
    const ends: (() => void)[] = [];
    const serviceability = answers.serviceability;
    answers.serviceability = (task) =>
      new Promise((resolve) => ends.push(() => resolve(serviceability(task, { deadlineMs: 1 }))));
    const ask = (caller: string) =>
      context.places.ask(question(caller), (child, limits) => child.serviceability({} as never, limits));
    const greedy = Array.from({ length: 32 }, () => ask("greedy").catch((error: { code: string }) => error.code));
    const other = ask("other");
    for (let round = 0; round < 5; round++) {
      for (const end of ends.splice(0)) end();
      await new Promise(setImmediate);
    }
    expect(await other).toMatchObject({ verdict: "serviceable" });
    expect((await Promise.all(greedy)).filter((reply) => reply === "too_many_questions")).toHaveLength(28);
  });

  test("answers for open networks while others are being opened", async () => {
    const { context, answers } = createFakeService(dir.path);
    const ask = (network: string, caller: string) =>
      context.places.ask(question(caller, network), (child, limits) => child.serviceability({} as never, limits));
    await ask("open", "a");
    const serviceability = answers.serviceability;
    let opening = 0;
    answers.serviceability = () => {
      opening++;
      return new Promise(() => undefined);
    };
    for (const caller of ["b", "c", "d", "e"]) ask(`closed ${caller}`, caller).catch(() => undefined);
    await new Promise(setImmediate);
    expect(opening).toBe(2);
    answers.serviceability = serviceability;
    expect(await ask("open", "f")).toMatchObject({ verdict: "serviceable" });
  });

  test("that takes longer than a caller waits is not ready", async () => {
    const { context, answers } = await service();
    answers.serviceability = () => new Promise(() => undefined);
    const ask = context.places.ask(question("a"), (child, limits) => child.serviceability({} as never, limits), 0);
    await expect(ask).rejects.toMatchObject({ code: "not_ready" });
  });
});

describe("POST /v1/serviceability/profile", () => {
  const drawn = async (picture: string | Uint8Array) => {
    const fakes = await service();
    fakes.answers.serviceability = async () => ({ profile: { title: "a-n" }, reason: "" }) as never;
    fakes.answers.draw = async () => picture;
    return fakes;
  };

  test("is the picture in the format that is asked for", async () => {
    const { post } = await drawn("<svg />");
    const svg = await post("/v1/serviceability/profile", { place: { at } }).expect(200);
    expect(svg.headers["content-type"]).toMatch(/^image\/svg\+xml/);
    expect(svg.body.toString()).toBe("<svg />");
  });

  test("is PNG by Accept or by format", async () => {
    const bytes = new Uint8Array([137, 80, 78, 71]);
    const { post } = await drawn(bytes);
    const accepted = await post("/v1/serviceability/profile", { place: { at } }).set("Accept", "image/png").expect(200);
    expect(accepted.headers["content-type"]).toBe("image/png");
    expect(new Uint8Array(accepted.body)).toEqual(bytes);
    const named = await post("/v1/serviceability/profile?format=png", { place: { at } }).expect(200);
    expect(named.headers["content-type"]).toBe("image/png");
    await post("/v1/serviceability/profile?format=gif", { place: { at } }).expect(400);
  });

  test("is 404 where there is no path to draw", async () => {
    const { post } = await service();
    const { body } = await post("/v1/serviceability/profile", { place: { at } }).expect(404);
    expect(body.detail).toContain("no path to draw");
    await post("/v1/serviceability/profile", { place: { address: "nowhere" } }).expect(404);
  });
});

describe("POST /v1/installs and POST /v1/calibrations", () => {
  test("ask the answering child", async () => {
    const { post, answers, version } = await service();
    const measured = { chainsDbm: [-63, -65], sinrDb: 24 };
    await post("/v1/installs", { place: { at }, sector: "s1-n", measured, heightAglM: 7 }).expect(200);
    await post("/v1/calibrations", {}).expect(200);
    const links = [{ id: "u1", sector: "s1-n", lon: -76.7, lat: 40.8, signalDbm: -61 }];
    await post("/v1/calibrations", { links }).expect(200);
    const source = { network: { version }, radiusM: 15_000 };
    expect(answers.asked).toMatchObject([
      { name: "install", task: { source, installation: { sector: "s1-n", measured, heightAglM: 7 } } },
      { name: "calibration", task: { source, nowMs: Date.parse("2026-11-25T12:00:00Z") } },
      { name: "calibration", task: { source, rows: links } },
    ]);
    expect(answers.asked[1].task).not.toHaveProperty("rows");
  });

  test("say as such that an address is not clear", async () => {
    const { post } = await service();
    const install = { place: { address: "9 Nowhere" }, sector: "s1-n", measured: { signalDbm: -63 } };
    const { body } = await post("/v1/installs", install).expect(200);
    expect(body).toMatchObject({ result: "not-known", place: null, matches: [] });
  });
});

describe("bad input", () => {
  const address = "/v1/serviceability";

  test.each<[string, object, number, string | null]>([
    ["no place", {}, 422, "/place"],
    ["coordinates as text", { place: { at: ["-76.7", "40.8"] } }, 422, "/place/at/0"],
    ["degrees and minutes", { place: { at: "76°42'W 40°48'N" } }, 422, "/place/at"],
    ["a latitude over 90", { place: { at: [40.8, -176.7] } }, 422, "/place/at/1"],
    ["an address of 10 kB", { place: { address: "a".repeat(10_000) } }, 422, "/place/address"],
    ["an unknown field", { place: { at }, colour: "red" }, 422, "/colour"],
    ["a body over 1 MB", { place: { address: "a".repeat(1_000_001) } }, 413, null],
  ])("%s is refused", async (_, sent, status, pointer) => {
    const { post } = await service();
    const { body } = await post(address, sent).expect(status);
    if (pointer) expect(body.errors.map((error: { pointer: string }) => error.pointer)).toContain(pointer);
  });

  test.each<[string, string, string | Buffer, number]>([
    ["an empty body", "application/json", "", 400],
    ["binary", "application/json", Buffer.from([0, 255, 254, 1]), 400],
    ["UTF-16", "application/json; charset=utf-16", Buffer.from('{"version":1}', "utf16le"), 415],
    ["a byte order mark before no place", "application/json", '\ufeff{"version":1}', 422],
    ["a table", "text/csv", "lon,lat\n-76.7,40.8\n", 415],
  ])("%s is refused", async (_, type, bytes, status) => {
    const { app } = await service();
    await request(app).post(address).set("Content-Type", type).serialize(asIs).send(bytes).expect(status);
  });

  /** Bytes that must not be made JSON of. */
  const asIs = (bytes: string | Buffer) => bytes as string;

  test("only POST is allowed", async () => {
    const { app } = await service();
    for (const path of [address, `${address}/profile`, "/v1/installs", "/v1/calibrations"])
      await request(app).get(path).expect(405).expect("Allow", "POST");
  });
});
