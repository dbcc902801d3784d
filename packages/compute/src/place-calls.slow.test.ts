import { join } from "node:path";
import { type MeasuredRow, parseNetwork, toCanonicalNetwork } from "@fellmark/network";
import { createSeededRandom, createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CallLimits, Compute } from "./compute.ts";
import { createCompute } from "./create-compute.ts";
import type { AnsweringSource } from "./place-tasks.ts";
import { buildLargeNetwork } from "./testing/large-network.ts";
import { buildSmallRequest, writeTile } from "./testing/small-world.ts";

const LIMITS: CallLimits = { deadlineMs: 60_000 };

/** North of both masts, in sight of sector a-n. */
const HERE = { lon: -30.5, lat: 12.51 };

let folder: TempDir;
let terrainDir: string;
let compute: Compute;

beforeAll(() => {
  folder = createTempDir();
  terrainDir = join(folder.path, "terrain");
  writeTile(terrainDir);
  compute = createCompute();
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

/** The network of the small request as it is kept, and how often its document was read. */
function keptNetwork(subscribers: object[] = [], change: object = {}) {
  const { area: _area, quality: _quality, outputs: _outputs, cpe, ...shared } = buildSmallRequest();
  const model = { ...shared.model, ...change };
  const cpes = [
    { id: "small", ...cpe },
    { id: "large", ...cpe, powerDbm: 24 },
  ];
  const { version, document } = toCanonicalNetwork(parseNetwork({ ...shared, model, zoom: 12, cpes, subscribers }));
  const reads = { count: 0 };
  const network = {
    version,
    async document() {
      reads.count++;
      return document;
    },
  };
  const source = (change: object = {}): AnsweringSource => ({ network, radiusM: 5000, ...change });
  return { source, version, reads };
}

const question = { at: HERE, locationAccuracyM: 0, asOf: "2026-11-25" };

describe("a network that answers in the child", () => {
  it("sends its document once, whatever is asked", async () => {
    const { source, version, reads } = keptNetwork();
    const first = await compute.serviceability({ source: source(), terrainDir, question }, LIMITS);
    expect(first).toMatchObject({ version: 1, at: [HERE.lon, HERE.lat], inputs: { network: version } });
    expect(first.links.length + first.others.length).toBe(3);
    expect(first.caution).toMatch(/survey before you sell/);
    const again = await compute.serviceability({ source: source(), terrainDir, question }, LIMITS);
    expect(again).toEqual(first);
    await compute.serviceability({ source: source({ radiusM: 6000, cpe: "large" }), terrainDir, question }, LIMITS);
    expect(reads.count).toBe(1);
  });

  it("takes the CPE that is named, and refuses one that is not there", async () => {
    const { source } = keptNetwork();
    const upOf = async (cpe: string) => {
      const { links } = await compute.serviceability({ source: source({ cpe }), terrainDir, question }, LIMITS);
      return links[0].expected.upDbm;
    };
    expect((await upOf("large")) - (await upOf("small"))).toBeCloseTo(5, 6);
    await expect(upOf("nowhere")).rejects.toMatchObject({ problems: [{ pointer: "/cpe" }] });
  });

  it("tells how full a sector is from the subscribers that it has", async () => {
    const subscriber = { sector: "a-n", lon: -30.5, lat: 12.508, plan: "p25" };
    const { source } = keptNetwork([
      { ...subscriber, id: "u1" },
      { ...subscriber, id: "u2" },
    ]);
    const { load, plans } = await compute.serviceability({ source: source(), terrainDir, question }, LIMITS);
    expect(load).toMatchObject({ subscribers: 2, limit: 0.8 });
    expect(load?.utilisation).toBeGreaterThan(0);
    expect(plans.every(({ fits }) => fits !== null)).toBe(true);
  });

  it("compares what is measured with what it expects", async () => {
    const { source, version } = keptNetwork();
    const { links } = await compute.serviceability({ source: source(), terrainDir, question }, LIMITS);
    const [{ sector, expected }] = links;
    const installation = { at: HERE, sector, measured: { signalDbm: expected.downDbm - 2 } };
    const report = await compute.install({ source: source(), terrainDir, installation }, LIMITS);
    expect(report).toMatchObject({ result: "pass", sector, inputs: { network: version } });
    expect(report.residualDb).toBeCloseTo(-2, 9);
  });

  it("learns from measured subscribers, and from rows that are sent", async () => {
    const measured = { signalDbm: -60, at: "2026-05-04T09:30:00Z" };
    const subscriber = { id: "u1", sector: "a-n", lon: -30.5, lat: 12.508, plan: "p25", measured };
    const { source } = keptNetwork([subscriber]);
    const nowMs = Date.parse("2026-11-25T00:00:00Z");
    const own = await compute.calibration({ source: source(), terrainDir, nowMs }, LIMITS);
    expect(own).toMatchObject({ links: 1, rejected: [], calibration: { validation: { applied: false } } });
    const rows = [{ id: "r1", sector: "nowhere", lon: -30.5, lat: 12.508, signalDbm: -60 }];
    const sent = await compute.calibration({ source: source(), terrainDir, nowMs, rows }, LIMITS);
    expect(sent).toMatchObject({ links: 0, rejected: [{ row: 0, field: "sector" }] });
    await expect(
      compute.calibration({ source: keptNetwork().source(), terrainDir, nowMs }, LIMITS),
    ).rejects.toMatchObject({ problems: [{ pointer: "/links" }] });
  });

  it("says of places what a calibration by its own links adds, and nothing once that is switched off", async () => {
    const random = createSeededRandom(3);
    const places = Array.from({ length: 40 }, () => ({
      lon: -30.505 + 0.01 * random(),
      lat: 12.503 + 0.012 * random(),
    }));
    const rows: MeasuredRow[] = [];
    for (const [index, at] of places.entries()) {
      const asked = { source: keptNetwork().source(), terrainDir, question: { ...question, at } };
      const { links } = await compute.serviceability(asked, LIMITS);
      const { sector, expected } = links[0];
      // What the model lacks: 8 dB, give or take 3 dB.
      rows.push({ id: `r${index}`, sector, ...at, signalDbm: expected.downDbm - 8 + 6 * (random() - 0.5) });
    }
    const task = { source: keptNetwork().source(), terrainDir, rows, nowMs: 0 };
    const { calibration, rejected } = await compute.calibration(task, LIMITS);
    expect([calibration.validation.applied, rejected]).toEqual([true, []]);
    const levelWith = async (change: object) => {
      const asked = { source: keptNetwork([], change).source(), terrainDir, question };
      const { links, inputs } = await compute.serviceability(asked, LIMITS);
      return { sector: links[0].sector, downDbm: links[0].expected.downDbm, version: inputs.calibration };
    };
    const corrected = await levelWith({ calibration });
    const bare = await levelWith({ calibration: null });
    expect(corrected).toMatchObject({ sector: bare.sector, version: calibration.version });
    // Shrunk toward nothing, as few links are.
    expect(Math.abs(bare.downDbm - corrected.downDbm - 8)).toBeLessThan(1.5);
    expect(bare.version).toBeNull();
  });

  it("is asked again after the child was replaced", async () => {
    const { source, reads } = keptNetwork();
    const own = createCompute();
    await own.serviceability({ source: source(), terrainDir, question }, LIMITS);
    await own.close();
    await own.serviceability({ source: source(), terrainDir, question }, LIMITS);
    expect(reads.count).toBe(2);
    await own.close();
  });
});

describe("a network far beyond one map", () => {
  // The design point: 200 sites and 600 sectors over one 1-degree tile.
  it("of 200 masts and 600 sectors answers places anywhere on its tile", async () => {
    const { version, document } = toCanonicalNetwork(buildLargeNetwork(200, createSeededRandom(5)));
    const source = { network: { version, document: async () => document }, radiusM: 15_000 };
    for (const at of [HERE, { lon: -30.1, lat: 12.9 }, { lon: -30.97, lat: 12.03 }]) {
      const question = { at, locationAccuracyM: 0, asOf: "2026-11-25" };
      const { verdict, links, plans } = await compute.serviceability({ source, terrainDir, question }, LIMITS);
      expect(verdict).not.toBe("not-known");
      expect(links).toHaveLength(3);
      expect(plans.map(({ plan }) => plan)).toEqual(["p100", "p25"]);
    }
  });
});
