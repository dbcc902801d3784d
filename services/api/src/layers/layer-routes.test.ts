import path from "node:path";
import { buildLevels, encodeRaster, hideSmallAreas } from "@fellmark/layers";
import { openSqliteLedger } from "@fellmark/ledger";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { TIER_CLASS } from "@fellmark/tiers";
import request from "supertest";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { createApp } from "../app.ts";
import { requestExample } from "../openapi/request-example.ts";
import { createFakeService } from "../testing/fakes.ts";

const PLANS = [
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p25", downMbps: 25, upMbps: 5 },
];
const WINDOW = { zoom: 12, col0: 312_330, row0: 377_350, width: 200, height: 150 };

/** West half the better plan, east half the other one; a corner is outside, one is not known. */
const CLASSES = Uint8Array.from({ length: 200 * 150 }, (_, cell) => {
  const [x, y] = [cell % 200, Math.floor(cell / 200)];
  if (x < 20 && y < 20) return TIER_CLASS.outside;
  if (x > 180 && y > 130) return TIER_CLASS.notKnown;
  return x < 100 ? 1 : 2;
});

const SUMMARY = JSON.stringify({ confidence: 0.9, availability: 0.999, cpeHeightAglM: 6, sectors: [{ id: "secret" }] });
const PAGE = "https://shop.example";
const TILE = "12/1220/1474";
/** A day of the fake clock, and the same a year on. */
const EXPIRES = "2027-11-25T12:00:00Z";

describe("layers", () => {
  let dir: TempDir;
  let sqlite: Awaited<ReturnType<typeof openSqliteLedger>>;
  let service: ReturnType<typeof createFakeService>;
  let jobId: string;

  beforeEach(async () => {
    dir = createTempDir();
    sqlite = await openSqliteLedger(path.join(dir.path, "ledger.sqlite"));
    service = createFakeService(dir.path, { FELLMARK_ALLOWED_HOSTS: "*" });
    service.ledger.layers = sqlite.layers;
    service.app = createApp(service.context);
    const { body } = await request(service.app).post("/v1/coverages").send(requestExample).expect(202);
    jobId = body.id;
    const classes = await encodeRaster({ plans: PLANS, levels: [{ window: WINDOW, classes: CLASSES }] });
    const files = service.store.put({ "tier-classes.bin": classes, "summary.json": SUMMARY });
    service.ledger.set(jobId, { state: "done", files, updatedAtMs: Date.parse("2026-11-20T01:00:00Z") });
  });
  afterEach(async () => {
    await sqlite.close();
    dir.remove();
  });

  const api = () => request(service.app);
  const draft = (change: object = {}) => ({
    version: 1,
    source: { kind: "coverage", id: jobId },
    title: "Plans <b>",
    attribution: "Tollivast & Co",
    ...change,
  });
  const put = (change?: object) => api().put("/v1/layers/plans").send(draft(change));

  /** The body of a reply of 200, whatever its type. */
  async function readBytes(address: string): Promise<Buffer> {
    const chunks: Buffer[] = [];
    await api()
      .get(address)
      .buffer(true)
      .parse((res, done) => {
        res.on("data", (chunk: string) => chunks.push(Buffer.from(chunk, "binary")));
        res.on("end", () => done(null, null));
      })
      .expect(200);
    return Buffer.concat(chunks);
  }

  /** Puts and publishes versions 1 to `count`. */
  async function publish(count = 1): Promise<void> {
    for (let version = 1; version <= count; version++) {
      await put({ title: `Plans ${version}` }).expect(201);
      await api().post("/v1/layers/plans/publish").send({ version }).expect(200);
    }
  }

  async function makeToken(layer = "plans", origins = [PAGE]): Promise<string> {
    const { body } = await api().post(`/v1/layers/${layer}/tokens`).send({ origins, expiresAt: EXPIRES }).expect(201);
    return body.token;
  }

  test("are drafts first, which only the provider sees, then published in one step", async () => {
    const { body } = await put().expect(201);
    expect(body).toMatchObject({
      layer: "plans",
      version: 1,
      state: "draft",
      validFrom: "2026-11-20",
      publishedAt: null,
    });
    expect(body.notKnownShare).toBeCloseTo((19 * 19) / (200 * 150 - 400), 6);
    await put().expect(200);
    await api().get("/v1/layers/plans/latest/tilejson.json").expect(404);
    await api().get("/v1/layers/plans/1/tilejson.json").expect(404);
    const own = await api().get(body.links.tileJson).expect(200).expect("Cache-Control", "no-store");
    expect([body.links.tileJson, own.body.tiles[0]]).toEqual([
      "/v1/layers/plans/draft/tilejson.json",
      expect.stringMatching(/\/v1\/layers\/plans\/draft\/tiles\/\{z\}/),
    ]);
    const token = await makeToken();
    await api().get(`${body.links.tileJson}?token=${token}`).set("Origin", PAGE).expect(404);
    await api().post("/v1/layers/plans/publish").send({ version: 1 }).expect(200);
    await api().post("/v1/layers/plans/publish").send({ version: 1 }).expect(200);
    await api().get("/v1/layers/plans/draft/tilejson.json").expect(404);
    const state = await api().get("/v1/layers/plans").expect(200);
    expect(state.body).toMatchObject({ layer: "plans", draft: null, versions: 1, latest: { version: 1 } });
    expect((await api().get("/v1/layers").expect(200)).body.layers).toEqual([state.body]);
  });

  test("keep older versions readable until they are retired; a wrong one is taken back in one call", async () => {
    await publish(3);
    const titleOf = async (version: number | string) =>
      (await api().get(`/v1/layers/plans/${version}/tilejson.json`)).body.name;
    expect([await titleOf("latest"), await titleOf(1)]).toEqual(["Plans 3", "Plans 1"]);
    await api().post("/v1/layers/plans/take-back").send({ version: 2 }).expect(409);
    await api().post("/v1/layers/plans/take-back").send({ version: 3 }).expect(200);
    expect(await titleOf("latest")).toBe("Plans 2");
    const gone = await api().get(`/v1/layers/plans/3/tiles/${TILE}.mvt`).expect(410);
    expect(gone.body).toMatchObject({ code: "layer_gone", detail: expect.stringContaining("taken back") });
    await api().delete("/v1/layers/plans/versions/2").expect(409);
    await api().delete("/v1/layers/plans/versions/1").expect(200);
    await api().get("/v1/layers/plans/1/areas.csv").expect(410);
    await api().post("/v1/layers/plans/publish").send({ version: 1 }).expect(409);
    const { body } = await api().get("/v1/layers/plans/versions").expect(200);
    expect(body.versions.map(({ state }: { state: string }) => state)).toEqual(["withdrawn", "published", "retired"]);
  });

  test.each(["queued", "running", "failed", "cancelled", "expired"] as const)(
    "are not made from a coverage that is %s",
    async (state) => {
      service.ledger.set(jobId, { state });
      const { body } = await put().expect(409);
      expect(body).toMatchObject({ code: "conflict", detail: expect.stringContaining(state) });
      await api().get("/v1/layers/plans").expect(404);
    },
  );

  test("are not made from what has no classes, from an unknown coverage, or from one of another tenant", async () => {
    service.ledger.set(jobId, { files: service.store.put({ "summary.json": SUMMARY }) });
    expect((await put().expect(409)).body.detail).toContain("tier-classes.bin");
    await put({ source: { kind: "coverage", id: `j${"0".repeat(64)}` } }).expect(404);
    const job = service.ledger.rows.get(`default/${jobId}`);
    service.ledger.rows.clear();
    if (job) service.ledger.rows.set(`other/${jobId}`, { ...job, tenant: "other" });
    await put().expect(404);
  });

  test("outlive the coverage that they come from", async () => {
    await publish();
    service.ledger.rows.clear();
    await api().get(`/v1/layers/plans/latest/tiles/${TILE}.mvt`).expect(200);
  });

  test("of another tenant answer as if they were not there, to every method", async () => {
    await publish();
    await sqlite.layers.putDraft({
      ...{ tenant: "other", layer: "theirs", source: { kind: "coverage", id: jobId } },
      ...{ description: "{}", files: [] },
    });
    const answers = async (layer: string) => {
      const at = `/v1/layers/${layer}`;
      const calls = [
        api().get(at),
        api().get(`${at}/versions`),
        api().get(`${at}/tokens`),
        api().get(`${at}/1/style.json`),
        api().get(`${at}/latest/areas.csv`),
        api().post(`${at}/publish`).send({ version: 1 }),
        api().post(`${at}/take-back`).send({ version: 1 }),
        api().delete(`${at}/versions/1`),
        api().post(`${at}/tokens`).send({ origins: [], expiresAt: EXPIRES }),
        api().delete(`${at}/tokens/t1`),
      ];
      return (await Promise.all(calls)).map(({ status, body }) => [status, body.detail]);
    };
    const unknown = await answers("nowhere");
    expect(unknown.every(([status]) => status === 404)).toBe(true);
    expect(await answers("theirs")).toEqual(unknown);
  });

  test("refuse names, versions and bodies that cannot be", async () => {
    for (const name of ["Plans", "..%2fx", "a".repeat(64), "%00"])
      await api().put(`/v1/layers/${name}`).send(draft()).expect(404);
    await put({ title: "" }).expect(422);
    await put({ title: "a\u202eb" }).expect(422);
    await put({ extra: 1 }).expect(422);
    await put({ validFrom: "2026-11-25", validUntil: "2026-11-24" }).expect(422);
    await put({ validUntil: "2026-11-19" }).expect(422);
    await put({ source: { kind: "composite", id: jobId } }).expect(422);
    await publish();
    for (const version of ["0", "-1", "1.0", "newest", "9999999999", "2"])
      await api().get(`/v1/layers/plans/${version}/style.json`).expect(404);
  });

  describe("that are published", () => {
    const at = (below: string, version: number | string = 1) => `/v1/layers/plans/${version}/${below}`;
    beforeEach(() => publish());

    test("have files that do not say where they come from", async () => {
      const files = [
        "tilejson.json",
        "style.json",
        "sprite.json",
        "legend.json",
        "legend.svg",
        "areas.geojson",
        "areas.csv",
      ];
      for (const file of files) {
        const text = (await readBytes(at(file))).toString();
        expect(text.length).toBeGreaterThan(20);
        expect(text).not.toMatch(new RegExp(`${jobId}|secret|sector|site|azimuth|dbm|subscriberId`, "i"));
      }
    });

    // TileJSON 3.0 and Style Specification 8: addresses are absolute; those of one map stay with one version.
    test("tell addresses under the host that was asked, with the token that was shown, of one version", async () => {
      const token = await makeToken();
      const get = (file: string) =>
        api()
          .get(`${at(file, "latest")}?token=${token}`)
          .set("Origin", PAGE)
          .set("Host", "maps.example:8443");
      const { body: tileJson } = await get("tilejson.json").expect(200);
      const base = "http://maps.example:8443/v1/layers/plans/1";
      expect(tileJson.tiles).toEqual([`${base}/tiles/{z}/{x}/{y}.mvt?token=${token}`]);
      const { body: style } = await get("style.json").expect(200);
      expect(style.sources.tiers.url).toBe(`${base}/tilejson.json?token=${token}`);
      expect(style.sprite).toBe(`${base}/sprite?token=${token}`);
      await api().get(at("style.json")).set("Host", "a<b").expect(400);
    });

    test("have legends and pictures as PNG", async () => {
      for (const file of [
        "legend.png",
        "sprite.png",
        "sprite@2x.png",
        `tiles/${TILE}.png`,
        `tiles/${TILE}.png?size=512`,
      ]) {
        const { body, type } = await api().get(at(file)).expect(200);
        expect([type, body.subarray(1, 4).toString()]).toEqual(["image/png", "PNG"]);
      }
      const { body } = await api().get(at(`tiles/${TILE}.png?size=512`));
      expect(body.readUInt32BE(16)).toBe(512);
    });

    // OGC API - Tiles 20-057, requirement 7 and permission 2: 400 or 404 outside the set, 204 for an empty tile.
    test.each([
      ["12/0/0", 204],
      ["12/4096/0", 404],
      ["12/0/4096", 404],
      ["13/2440/2948", 404],
      ["0/0/0", 404],
      ["99/0/0", 404],
      ["12/-1/0", 400],
      ["12/1.5/0", 400],
      ["12/a/0", 400],
      ["12/99999999999/0", 400],
    ])("answer for tile %s with %i", async (place, status) => {
      await api()
        .get(at(`tiles/${place}.mvt`))
        .expect(status);
      await api()
        .get(at(`tiles/${place}.png`))
        .expect(status);
    });

    test("refuse unknown parameters", async () => {
      await api()
        .get(at(`tiles/${TILE}.mvt?debug=1`))
        .expect(400);
      await api()
        .get(at(`tiles/${TILE}.mvt?size=512`))
        .expect(400);
      await api()
        .get(at(`tiles/${TILE}.png?size=1024`))
        .expect(400);
      await api().get(at("style.json?token=a&token=b")).expect(400);
      for (const path of ["", "/plans", "/plans/versions", "/plans/tokens"])
        await api().get(`/v1/layers${path}?q=a`).expect(400);
      await api().delete("/v1/layers/plans/versions/1?force=1").expect(400);
    });

    // RFC 9110, sections 8.8.3 and 13.1.2; RFC 9111, section 5.2.2; RFC 8246.
    test("can be kept by caches: strong ETags, 304, immutable under a number and short under latest", async () => {
      const first = await api()
        .get(at(`tiles/${TILE}.mvt`))
        .set("Accept-Encoding", "identity")
        .expect(200);
      expect(first.headers["cache-control"]).toBe("public, max-age=31536000, immutable");
      expect(first.headers.etag).toMatch(/^"[0-9a-f]{64}"$/);
      const packed = await api()
        .get(at(`tiles/${TILE}.mvt`))
        .set("Accept-Encoding", "gzip")
        .expect(200);
      expect(packed.headers["content-encoding"]).toBe("gzip");
      expect(packed.headers.etag).toBe(first.headers.etag.replace(/"$/, '-gzip"'));
      expect(packed.headers.vary).toMatch(/Accept-Encoding/);
      await api()
        .get(at(`tiles/${TILE}.mvt`))
        .set("If-None-Match", packed.headers.etag)
        .expect(304);
      await api()
        .get(at(`tiles/${TILE}.mvt`))
        .set("If-None-Match", `"old"`)
        .expect(200);
      const latest = await api().get(at("style.json", "latest")).expect(200);
      expect(latest.headers["cache-control"]).toBe("public, max-age=60");
    });

    // RFC 9110, section 14: ranges, If-Range, and 416 beyond the end.
    test("have an archive that is read by ranges", async () => {
      const bytes = await readBytes(at("archive.pmtiles"));
      expect(bytes.subarray(0, 7).toString()).toBe("PMTiles");
      const part = await api().get(at("archive.pmtiles")).set("Range", "bytes=0-6").expect(206);
      expect(part.headers["content-range"]).toBe(`bytes 0-6/${bytes.length}`);
      expect(part.headers["accept-ranges"]).toBe("bytes");
      const table = await api().get(at("areas.csv")).set("Range", "bytes=0-4").expect(206);
      expect([table.text, table.headers["content-encoding"]]).toEqual(["class", undefined]);
      const changed = api().get(at("archive.pmtiles")).set("Range", "bytes=0-6").set("If-Range", '"other"');
      await changed.expect(200);
      const beyond = await api().get(at("archive.pmtiles")).set("Range", `bytes=${bytes.length}-`).expect(416);
      expect(beyond.headers["content-range"]).toBe(`bytes */${bytes.length}`);
    });

    test("show the classes of the coverage with small areas hidden, in the areas too", async () => {
      const hidden = hideSmallAreas(WINDOW, CLASSES, PLANS.length);
      expect(buildLevels(WINDOW, hidden).length).toBeGreaterThan(1);
      const { text } = await api().get(at("areas.csv")).expect(200);
      const rows = text
        .trim()
        .split("\r\n")
        .slice(1)
        .map((line) => line.split(","));
      const shares = Object.fromEntries(rows.map(([kind, plan, , , , share]) => [`${kind} ${plan}`, Number(share)]));
      const inArea = hidden.filter((tier) => tier !== TIER_CLASS.outside).length;
      expect(shares["plan p100"]).toBeCloseTo(hidden.filter((tier) => tier === 1).length / inArea, 9);
      expect(shares["not-known "]).toBeCloseTo(hidden.filter((tier) => tier === 254).length / inArea, 9);
    });
  });

  describe("with embed tokens", () => {
    const style = "/v1/layers/plans/latest/style.json";
    beforeEach(() => publish());

    test("are open to a web page of the token, which its browser is told", async () => {
      const token = await makeToken();
      const { headers } = await api().get(`${style}?token=${token}`).set("Origin", PAGE).expect(200);
      expect(headers["access-control-allow-origin"]).toBe(PAGE);
      expect(headers.vary).toMatch(/Origin/);
      expect(headers["cross-origin-resource-policy"]).toBe("cross-origin");
      expect(headers["cache-control"]).toBe("private, max-age=60");
      const ask = api().options(`${style}?token=${token}`).set("Origin", PAGE);
      const asked = await ask.set("Access-Control-Request-Headers", "range").expect(204);
      expect(asked.headers["access-control-allow-headers"]).toContain("Range");
      await api().get(`${style}?token=${token}`).expect(200);
      await api()
        .get(`${style}?token=${token}`)
        .set("Referer", `${PAGE}/map`)
        .set("Sec-Fetch-Site", "cross-site")
        .expect(200);
    });

    test("are closed to other pages, also where a browser does not tell which", async () => {
      const token = await makeToken();
      await api().get(style).set("Origin", PAGE).expect(401);
      await api().get(style).set("Sec-Fetch-Site", "cross-site").expect(401);
      for (const origin of ["https://other.example", "http://shop.example", "https://shop.example.evil", "null"]) {
        const { body, headers } = await api().get(`${style}?token=${token}`).set("Origin", origin).expect(403);
        expect([body.code, headers["access-control-allow-origin"]]).toEqual(["origin_refused", undefined]);
        await api().options(`${style}?token=${token}`).set("Origin", origin).expect(403);
      }
      await api().get(`${style}?token=${token}`).set("Sec-Fetch-Site", "cross-site").expect(403);
      await api().get(style).set("Host", "own.example").set("Origin", "http://own.example").expect(200);
    });

    test("answer 401 to a token that is unknown, revoked or expired, 404 to one of another layer", async () => {
      const token = await makeToken();
      const unknown = await api().get(`${style}?token=x`).expect(401);
      expect([unknown.body.code, unknown.headers["www-authenticate"]]).toEqual([
        "token_unknown",
        'Bearer realm="layer"',
      ]);
      await api().put("/v1/layers/other").send(draft()).expect(201);
      const foreign = await makeToken("other");
      const refused = await api().get(`${style}?token=${foreign}`).expect(404);
      expect(refused.body.detail).toBe("not found: no such layer");
      const { body } = await api().get("/v1/layers/plans/tokens").expect(200);
      await api().delete(`/v1/layers/plans/tokens/${body.tokens[0].id}`).expect(200);
      expect((await api().get(`${style}?token=${token}`).expect(401)).body.code).toBe("token_expired");
      const late = await makeToken();
      service.context.now = () => Date.parse(EXPIRES) + 1;
      await api().get(`${style}?token=${late}`).expect(401);
    });

    test("show a token once and keep its hash only", async () => {
      const token = await makeToken();
      const { text } = await api().get("/v1/layers/plans/tokens").expect(200);
      expect(text).not.toContain(token);
      const [stored] = await sqlite.layers.listTokens("default", "plans");
      expect(JSON.stringify(stored)).not.toContain(token);
    });

    test("refuse origins that are none and ends that have passed", async () => {
      const post = (body: object) => api().post("/v1/layers/plans/tokens").send(body);
      for (const origin of [
        "*",
        "shop.example",
        "https://shop.example/",
        "https://shop.example/map",
        "ftp://a.example",
      ])
        await post({ origins: [origin], expiresAt: EXPIRES }).expect(422);
      await post({ origins: [], expiresAt: "2020-01-01T00:00:00Z" }).expect(422);
      await post({ origins: [], expiresAt: "2090-01-01T00:00:00Z" }).expect(422);
    });
  });
});
