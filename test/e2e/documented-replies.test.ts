import { afterAll, beforeAll, expect, test } from "vitest";
import { lastState, post } from "./client.ts";
import { type Documentation, readDocumentation } from "./documented.ts";
import { ridgeRequest } from "./requests.ts";
import { type RunningService, startService } from "./service.ts";
import { TINY_TILE } from "./tiny-terrain.ts";

/** Every kind of reply, from the real service, against the OpenAPI document that it serves. */
let service: RunningService;
let documentation: Documentation;

const MAST = { lon: TINY_TILE.west + 0.5, lat: TINY_TILE.south + 0.5 };
const ON_RIDGE = [MAST.lon, MAST.lat + 0.018];

beforeAll(async () => {
  service = await startService();
  documentation = await readDocumentation(service.address);
});
afterAll(() => service.remove());

/** The ridge's request as a network, with a subscriber whose level was measured. */
function network() {
  const { area: _area, cpe, ...shared } = ridgeRequest();
  const measured = { signalDbm: -65, at: "2026-05-04T09:30:00Z" };
  const [lon, lat] = ON_RIDGE;
  return {
    ...shared,
    zoom: 12,
    cpes: [{ id: "standard", ...cpe, maxHeightAglM: 12 }],
    subscribers: [{ id: "u1", sector: "s1-n", lon, lat, plan: "p25", measured }],
  };
}

/** Sends a request and checks its reply; a place is asked again while its network is being opened. */
async function checked(
  method: string,
  path: string,
  body?: object,
  documented = path,
): Promise<Record<string, unknown>> {
  for (;;) {
    const reply = await fetch(service.address + path, {
      method,
      headers: { "Content-Type": "application/json" },
      ...(body && { body: JSON.stringify(body) }),
    });
    if (reply.status === 503) continue;
    const content = (await reply.json()) as Record<string, unknown>;
    const faults = documentation.faults(documented, content, method.toLowerCase(), String(reply.status));
    expect(faults, `${method} ${path}`).toEqual([]);
    return content;
  }
}

test("the network and what is asked of its places", async () => {
  await checked("PUT", "/v1/network", network());
  await checked("GET", "/v1/network");
  await checked("GET", "/v1/network/versions");
  const place = { at: ON_RIDGE };
  await checked("POST", "/v1/serviceability", { version: 1, place, profile: true });
  await checked("POST", "/v1/serviceability", { version: 1, place: { address: "nowhere" } });
  const measured = { signalDbm: -70, sinrDb: 20 };
  await checked("POST", "/v1/installs", { version: 1, place, sector: "s1-n", measured });
  await checked("POST", "/v1/calibrations", { version: 1 });
});

test("premises, lists, antennas and health", async () => {
  const csv = `id,address,lon,lat\np1,1 Ridge Road,${MAST.lon},${MAST.lat}\np2,2 Ridge Road,none,1\n`;
  const headers = { "Content-Type": "text/csv" };
  const imported = await fetch(`${service.address}/v1/premises`, { method: "POST", headers, body: csv });
  expect(documentation.faults("/v1/premises", await imported.json(), "post")).toEqual([]);
  await checked("GET", "/v1/premises?q=1%20ridge%20road", undefined, "/v1/premises");
  await checked("GET", "/v1/premises/p1", undefined, "/v1/premises/{id}");
  for (const path of ["/v1/rules", "/v1/antenna-kinds", "/v1/cable-classes", "/v1/clutter-classes"])
    await checked("GET", path);
  const horn = { id: "h", kind: "horn", form: "corrugated", diameterM: 0.2, slantLengthM: 0.4 };
  await checked("POST", "/v1/antennas/parameters", { version: 1, antenna: horn, frequencyGhz: 5.6 });
  for (const path of ["/health/live", "/health/ready"]) await checked("GET", path);
});

test.each([
  ["/v1/coverages", ridgeRequest()],
  [
    "/v1/comparisons",
    {
      version: 1,
      base: ridgeRequest(),
      changes: [{ kind: "tilt", sector: "s1-n", downtiltDeg: 4 }],
      premises: [ON_RIDGE],
    },
  ],
  ["/v1/advice", { version: 1, base: ridgeRequest(), channels: [{ centreMhz: 5600, widthMhz: 20 }] }],
  ["/v1/batches", { version: 1, source: { request: ridgeRequest() }, leads: { text: `lon,lat\n${ON_RIDGE}\n1,\n` } }],
])("the state and the files of %s", async (path, body) => {
  const posted = await post(service.address, body, path);
  expect(documentation.faults(path, posted.body, "post", String(posted.status))).toEqual([]);
  const state = await lastState(service.address, posted.body.id, path);
  expect(documentation.faults(`${path}/{id}`, state)).toEqual([]);
  expect(state).toMatchObject({ state: "done" });
  const { links } = state as unknown as { links: Record<string, string> };
  for (const link of Object.values(links).filter((at) => /summary|json$/.test(at)))
    await checked("GET", link, undefined, link.replace(posted.body.id, "{id}"));
});
