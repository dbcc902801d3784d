import type { Reply } from "@fellmark/compute";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { computeChildrenOf } from "../faults/processes.ts";
import { ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";
import { TINY_TILE } from "./tiny-terrain.ts";

let service: RunningService;
beforeAll(async () => {
  service = await startService();
  expect((await send("/v1/network", network(), "PUT")).status).toBe(201);
});
afterAll(() => service.remove());

const MAST = { lon: TINY_TILE.west + 0.5, lat: TINY_TILE.south + 0.5 };

/** 2 km north of the mast, on the ridge too. */
const ON_RIDGE = [MAST.lon, MAST.lat + 0.018];

const OFF_TERRAIN = [MAST.lon + 2, MAST.lat];

/** The ridge's request as a network, with a subscriber of whom a level was measured. */
function network() {
  const { area: _area, cpe, ...shared } = ridgeRequest();
  const measured = { signalDbm: -65, at: "2026-05-04T09:30:00Z" };
  const place = { lon: ON_RIDGE[0], lat: ON_RIDGE[1] };
  return {
    ...shared,
    zoom: 12,
    model: { clutter: { class: "open", heightM: 0 } },
    cpes: [{ id: "standard", ...cpe, maxHeightAglM: 12 }],
    subscribers: [{ id: "u1", sector: "s1-n", ...place, plan: "p25", measured }],
  };
}

function send(address: string, body: object, method = "POST", headers: Record<string, string> = {}): Promise<Response> {
  return fetch(`${service.address}${address}`, {
    method,
    headers: { "Content-Type": "application/json", ...headers },
    body: JSON.stringify(body),
  });
}

/** What the service says of a place. */
type Answered = Reply<"serviceability">;

async function answered(more: object): Promise<Answered> {
  return (await (await ask("/v1/serviceability", more)).json()) as Answered;
}

/** Asks of a place, and again while the network is being opened, as Retry-After says. */
async function ask(address: string, more: object, headers: Record<string, string> = {}): Promise<Response> {
  for (;;) {
    const reply = await send(address, { version: 1, ...more }, "POST", headers);
    if (reply.status !== 503) return reply;
    expect(Number(reply.headers.get("retry-after"))).toBeGreaterThan(0);
  }
}

describe("a place of the network", () => {
  test("is answered with the versions that the answer rests on", async () => {
    const body = await answered({ place: { at: ON_RIDGE }, asOf: "2026-11-25" });
    expect(body).toMatchObject({
      verdict: "serviceable",
      plan: "p25",
      offer: "p25",
      locationAccuracy: { radiusM: 0, agrees: true },
      load: { subscribers: 1 },
      mount: { sector: "s1-n", heightAglM: 6 },
      expires: { on: "2029-11-25", because: "age" },
      inputs: { network: expect.stringMatching(/^n[0-9a-f]{64}$/), terrain: expect.any(String), calibration: null },
    });
    expect(body.mount?.azimuthDeg).toBeCloseTo(180, 3);
    expect(body.links[0].expected.downDbm).toBeCloseTo(body.mount?.downDbm ?? Number.NaN, 9);
  });

  test("off the terrain is not known, never refused", async () => {
    const body = await answered({ place: { at: OFF_TERRAIN } });
    expect(body).toMatchObject({ verdict: "not-known", offer: null, links: [], expires: null });
  });

  test("whose pin may be off by 500 m is asked at nine points", async () => {
    const { locationAccuracy } = await answered({ place: { at: ON_RIDGE, quality: "centroid" } });
    const counts = Object.values(locationAccuracy.verdicts);
    expect(counts.reduce((sum, count) => sum + count)).toBe(9);
  });

  test("is drawn as SVG and as PNG", async () => {
    const place = { place: { at: ON_RIDGE } };
    const svg = await ask("/v1/serviceability/profile", place);
    expect([svg.status, svg.headers.get("content-type")]).toEqual([200, "image/svg+xml; charset=utf-8"]);
    expect(await svg.text()).toMatch(/^<svg [\s\S]*<\/svg>\s*$/);
    const png = await ask("/v1/serviceability/profile", place, { Accept: "image/png" });
    const bytes = Buffer.from(await png.arrayBuffer());
    expect([png.status, bytes.subarray(1, 4).toString()]).toEqual([200, "PNG"]);
  });

  test("refuses a CPE, a plan and a sector that the network does not have", async () => {
    const place = { at: ON_RIDGE };
    const pointerOf = async (address: string, more: object) => {
      const reply = await ask(address, { place, ...more });
      expect(reply.status).toBe(422);
      const { errors } = (await reply.json()) as { errors: { pointer: string }[] };
      return errors[0].pointer;
    };
    expect(await pointerOf("/v1/serviceability", { cpe: "none" })).toBe("/cpe");
    expect(await pointerOf("/v1/serviceability", { plan: "none" })).toBe("/plan");
    const measured = { signalDbm: -60 };
    expect(await pointerOf("/v1/installs", { sector: "none", measured })).toBe("/sector");
  });
});

describe("a place by its address", () => {
  /** Invented addresses: two on the ridge that only the number tells apart, one whose text is an attack on a page. */
  const TABLE = [
    "id,address,lon,lat,quality",
    `h1,3 Mill Lane,${ON_RIDGE},rooftop`,
    `h2,4 Mill Lane,${ON_RIDGE},parcel`,
    `h3,"5 <img src=x onerror=alert(1)> Yard",${ON_RIDGE},rooftop`,
    `h4,9 Sea Road,${OFF_TERRAIN},rooftop`,
  ].join("\n");

  beforeAll(async () => {
    const headers = { "Content-Type": "text/csv" };
    const reply = await fetch(`${service.address}/v1/premises`, { method: "POST", headers, body: TABLE });
    expect(reply.status).toBe(200);
  });

  const placeOf = async (place: object) => {
    const reply = await ask("/v1/serviceability", { place });
    return (await reply.json()) as Answered & { place: object; matches: { premises: string; address: string }[] };
  };

  test("is that of the premises found, judged within the quality of their point", async () => {
    const found = await placeOf({ address: "3 mill ln" });
    expect(found).toMatchObject({ verdict: "serviceable", place: { premises: "h1", address: "3 Mill Lane" } });
    expect(found.locationAccuracy.radiusM).toBe(10);
    expect((await placeOf({ premises: "h2" })).locationAccuracy.radiusM).toBe(50);
  });

  test("is not guessed where several have it or none has", async () => {
    const tie = await placeOf({ address: "Mill Lane" });
    expect([tie.verdict, tie.matches.map(({ premises }) => premises).sort()]).toEqual(["not-known", ["h1", "h2"]]);
    expect(await placeOf({ address: "77 Nowhere Street" })).toMatchObject({ verdict: "not-known", matches: [] });
  });

  test("off the terrain is not known, and hostile text stays text", async () => {
    expect(await placeOf({ address: "9 Sea Road" })).toMatchObject({ verdict: "not-known", place: { premises: "h4" } });
    const hostile = await placeOf({ premises: "h3" });
    expect(hostile.place).toMatchObject({ address: "5 <img src=x onerror=alert(1)> Yard" });
  });
});

describe("what was measured", () => {
  test("passes where it is as expected, and is told why where it is not", async () => {
    const place = { at: ON_RIDGE };
    const { mount } = await answered({ place });
    const install = async (lessDb: number) => {
      const measured = { signalDbm: (mount?.downDbm ?? Number.NaN) - lessDb };
      const reply = await ask("/v1/installs", { place, sector: mount?.sector, measured });
      return (await reply.json()) as Reply<"install">;
    };
    expect(await install(2)).toMatchObject({ result: "pass", residualDb: expect.closeTo(-2, 6), causes: [] });
    const failed = await install(16);
    expect(failed).toMatchObject({ result: "fail", residualDb: expect.closeTo(-16, 6) });
    expect(failed.causes.map(({ cause }) => cause)).toContain("side-lobe");
  });

  test("makes a calibration that the network takes", async () => {
    const report = (await (await ask("/v1/calibrations", {})).json()) as Reply<"calibration">;
    expect(report).toMatchObject({ links: 1, rejected: [], calibration: { validation: { applied: false } } });
    const { calibration } = report;
    const corrected = { ...network(), model: { ...network().model, calibration } };
    expect((await send("/v1/network", corrected, "PUT")).status).toBe(201);
    const { inputs } = await answered({ place: { at: ON_RIDGE } });
    expect(inputs.calibration).toBe(calibration.version);
  });
});

test("a place is answered by a fresh child after all children were killed, and whoever waited is sent away (F2)", async () => {
  const question = { place: { at: ON_RIDGE }, asOf: "2026-11-25" };
  const before = await answered(question);
  const children = computeChildrenOf(service.child.pid);
  expect(children.length).toBeGreaterThan(0);
  // Nobody has asked for this radius: the network is opened anew, which takes longer than the kill.
  const waiting = send("/v1/serviceability", { version: 1, ...question, radiusM: 9_000 });
  for (const pid of children) process.kill(pid, "SIGKILL");
  expect([200, 503]).toContain((await waiting).status);
  expect(await answered(question)).toEqual(before);
});
