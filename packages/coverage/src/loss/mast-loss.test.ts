import { type CoverageRequest, parseCoverageRequest } from "@fellmark/network";
import { createLossRasters, createPlanCache } from "@fellmark/sweep";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { createInlinePool } from "@fellmark/testkit";
import { describe, expect, it } from "vitest";
import { listMasts, type Mast } from "./mast.ts";
import { computeMastLoss } from "./mast-loss.ts";

type Body = Record<string, object | string | number>;

const BODY: Body = {
  version: 1,
  area: { radiusM: 3000, zoom: 12 },
  quality: "accurate",
  model: { clutter: { class: "open" } },
  terrain: { sets: ["default"] },
  sites: [{ id: "s", lon: 10, lat: 45 }],
  antennas: [{ id: "a", kind: "tr38901" }],
  radios: [{ id: "r", table: "802.11ax" }],
  cpe: { antenna: "a", radio: "r", heightAglM: 6, powerDbm: 20 },
  plans: [{ id: "p", downMbps: 10, upMbps: 2 }],
};

const SECTOR = { site: "s", antenna: "a", radio: "r", powerDbm: 20 };

/** Two sectors on one mast, so that it has both discs. */
function requestOf(change: Body = {}, { heightAglM = 30, centreMhz = 5600, ...own }: Record<string, number> = {}) {
  const channel = { centreMhz, widthMhz: 20 };
  const sectors = [0, 120].map((azimuthDeg) => ({
    ...{ ...SECTOR, id: `s${azimuthDeg}`, azimuthDeg, heightAglM, channel },
    ...own,
  }));
  return parseCoverageRequest({ ...BODY, sectors, ...change });
}

const CATALOGUE = { fingerprint: "terrain" } as TerrainCatalogue;

/** Keys under which the losses of the first mast's two discs are looked for; they are found, so that nothing is swept. */
async function keysOf(request: CoverageRequest, catalogue = CATALOGUE, change: Partial<Mast> = {}) {
  const keys: string[] = [];
  const losses = {
    read: async (key: string, window: Parameters<typeof createLossRasters>[0]) => {
      keys.push(key);
      const terrain = { kind: "bare" as const, files: [], filledCells: 0, mastAmslM: 130, flags: [] };
      return { rasters: createLossRasters(window), terrain };
    },
    write: async () => undefined,
  };
  const engine = { pool: createInlinePool(), plans: createPlanCache(1), losses };
  const [mast] = listMasts(request).masts;
  await computeMastLoss(engine, catalogue, request, { ...mast, ...change }, {});
  return { near: keys[0], far: keys[1], count: keys.length };
}

const BEFORE = await keysOf(requestOf());

describe("the key of a loss", () => {
  it.each<[string, CoverageRequest]>([
    ["the CPE's height", requestOf({ cpe: { antenna: "a", radio: "r", heightAglM: 7, powerDbm: 20 } })],
    ["the mast's height", requestOf({}, { heightAglM: 31 })],
    ["the frequency", requestOf({}, { centreMhz: 5800 })],
    ["the mast's longitude", requestOf({ sites: [{ id: "s", lon: 10.001, lat: 45 }] })],
    ["the mast's latitude", requestOf({ sites: [{ id: "s", lon: 10, lat: 45.001 }] })],
    ["the radius", requestOf({ area: { radiusM: 3100, zoom: 12 } })],
    ["the zoom", requestOf({ area: { radiusM: 3000, zoom: 13 } })],
    ["the terrain's sets", requestOf({ terrain: { sets: ["other"] } })],
    ["whether voids are filled", requestOf({ terrain: { sets: ["default"], fillVoids: true } })],
    ["the Earth's radius", requestOf({ model: { clutter: { class: "open" }, earthRadiusFactor: 1.2 } })],
    ["canopy that is taken off the ground", requestOf({ model: { clutter: { canopy: "trees" } } })],
  ])("changes with %s", async (_name, request) => {
    const { near, far } = await keysOf(request);
    expect(near).not.toBe(BEFORE.near);
    expect(far).not.toBe(BEFORE.far);
  });

  it("changes with the terrain's content", async () => {
    const { near } = await keysOf(requestOf(), { fingerprint: "other" } as TerrainCatalogue);
    expect(near).not.toBe(BEFORE.near);
  });

  it.each<[string, CoverageRequest]>([
    ["power", requestOf({}, { powerDbm: 10 })],
    ["downtilt", requestOf({}, { downtiltDeg: 4 })],
    ["load", requestOf({}, { load: 0.3 })],
    ["the CPE's power", requestOf({ cpe: { antenna: "a", radio: "r", heightAglM: 6, powerDbm: 11 } })],
    ["the antenna", requestOf({ antennas: [{ id: "a", kind: "isotropic", gainDbi: 3 }] })],
    ["plans", requestOf({ plans: [{ id: "p", downMbps: 20, upMbps: 3 }] })],
    ["the name of the site's clutter class", requestOf({ model: { clutter: { class: "suburban" } } })],
    ["confidence", requestOf({ model: { clutter: { class: "open" }, confidence: 0.6 } })],
    ["the name", requestOf({ name: "again" })],
  ])("stays with another %s", async (_name, request) => {
    expect(await keysOf(request)).toEqual(BEFORE);
  });

  it("is looked for once for each disc, and not for a disc that is not there", async () => {
    expect(BEFORE.count).toBe(2);
    expect((await keysOf(requestOf(), CATALOGUE, { far: null })).count).toBe(1);
    expect((await keysOf(requestOf(), CATALOGUE, { near: null })).near).toBe(BEFORE.far);
  });
});

describe("the quality of a loss", () => {
  it("is that of the request close to the mast, and that of a preview far from it", async () => {
    const { near, far } = await keysOf(requestOf({ quality: "preview" }));
    expect(near).not.toBe(BEFORE.near);
    expect(far).toBe(BEFORE.far);
    const mast = listMasts(requestOf()).masts[0];
    const alike = await keysOf(requestOf({ quality: "preview" }), CATALOGUE, { near: mast.far });
    expect(alike.near).toBe(BEFORE.far);
  });
});
