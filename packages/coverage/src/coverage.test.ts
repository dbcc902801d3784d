import { computeCellSizeM, findGeodesicPoint } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { CancelledError, CELL_CLASS, createPlanCache } from "@fellmark/sweep";
import { openCatalogue } from "@fellmark/terrain";
import { createInlinePool, createTempDir } from "@fellmark/testkit";
import { toMilliwatts } from "@fellmark/units";
import { afterAll, describe, expect, it } from "vitest";
import { computeCoverage, findSectorNoise } from "./coverage.ts";
import { NO_DATA, type StripRasters } from "./layers/layer-job.ts";
import { buildPlainRequest, MIDDLE, writePlainWorld } from "./testing/plain-world.ts";

/** A plain at 100 m. */
const folder = createTempDir();
writePlainWorld(folder.path, () => 100);
const catalogue = await openCatalogue(folder.path);
afterAll(() => folder.remove());
const engine = { pool: createInlinePool(), plans: createPlanCache(2 ** 20) };

type Layer = "tier" | "server" | "ownSite" | "otherSites" | "emitters" | "signalDown" | "upOnlyFails";
type Cells = Record<Layer, number[]>;

async function cover(request: CoverageRequest, watch: Parameters<typeof computeCoverage>[4] = {}) {
  const cells: Cells = {
    ...{ tier: [], server: [], ownSite: [], otherSites: [], emitters: [], signalDown: [], upOnlyFails: [] },
  };
  const strips: number[] = [];
  const sink = async (fromRow: number, rows: number, strip: StripRasters) => {
    strips.push(fromRow, rows);
    const count = (rows * strip.tier.length) / 64;
    for (const layer of Object.keys(cells) as Layer[]) cells[layer].push(...strip[layer].subarray(0, count));
  };
  const coverage = await computeCoverage(engine, catalogue, request, sink, watch);
  return { coverage, cells, strips };
}

/** Cells whose values pass a test. */
const countCells = (values: readonly number[], isCounted: (value: number, cell: number) => boolean) =>
  values.filter(isCounted).length;

const isServed = (tier: number) => tier > 0 && tier < CELL_CLASS.notKnown;

const milliwatts = (centi: number) => (centi === NO_DATA ? 0 : toMilliwatts(centi / 100));

/** Sum of a layer over the cells that a sector serves, mW. */
function sumServed({ tier, server, ...layers }: Cells, layer: "ownSite" | "otherSites" | "emitters", sector: number) {
  return layers[layer]
    .filter((_, cell) => isServed(tier[cell]) && server[cell] === sector + 1)
    .reduce((sum, centi) => sum + milliwatts(centi), 0);
}

const EMITTER = { id: "e", ...findGeodesicPoint(MIDDLE, 90, 900), heightAglM: 10, eirpDbm: 20 };
const emitters = [{ ...EMITTER, channel: { centreMhz: 5600, widthMhz: 20 } }];

describe("a coverage of a plain", () => {
  const plain = cover(buildPlainRequest());
  const disturbed = cover(buildPlainRequest({ emitters }));

  it("gives two sectors back to back as many cells each, and all cells of the disc to one of them", async () => {
    const { coverage, cells } = await plain;
    const { window, counts } = coverage;
    expect(cells.tier).toHaveLength(window.width * window.height);
    expect(counts.servedCells[0]).toBeGreaterThan(80);
    expect(Math.abs(counts.servedCells[0] - counts.servedCells[1])).toBeLessThanOrEqual(window.width);
    expect(counts.servedCells).toEqual(
      [1, 2].map((number) =>
        countCells(cells.server, (server, cell) => server === number && isServed(cells.tier[cell])),
      ),
    );
    const cellM2 = computeCellSizeM(MIDDLE.lat, window.zoom) ** 2;
    const areaM2 = cellM2 * countCells(cells.tier, (tier) => tier !== CELL_CLASS.outside);
    expect(areaM2 / (Math.PI * 700 ** 2)).toBeCloseTo(1, 1);
  });

  it("counts interference by cause as its rasters hold it, mW", async () => {
    for (const { coverage, cells } of [await plain, await disturbed]) {
      for (const cause of ["ownSite", "otherSites", "emitters"] as const) {
        coverage.counts.interferenceMw.forEach((sums, sector) => {
          expect(sums[cause]).toBeCloseTo(sumServed(cells, cause, sector), 12);
        });
      }
    }
    const [alone] = (await plain).coverage.counts.interferenceMw;
    expect(alone.ownSite).toBeGreaterThan(0);
    expect([alone.otherSites, alone.emitters]).toEqual([0, 0]);
    expect((await disturbed).coverage.counts.interferenceMw[0].emitters).toBeGreaterThan(0);
  });

  it("counts cells where only the uplink fails", async () => {
    const { coverage, cells } = await cover(buildPlainRequest({ plans: [{ id: "up", downMbps: 1, upMbps: 900 }] }));
    const served = countCells(cells.tier, isServed);
    expect([served, coverage.counts.servedCells]).toEqual([0, [0, 0]]);
    expect(coverage.counts.upOnlyFails).toBeGreaterThan(200);
    expect(coverage.counts.upOnlyFails).toBe(cells.upOnlyFails.reduce((sum, one) => sum + one, 0));
  });

  it("leaves interference uncounted without rasters", async () => {
    const { coverage } = await cover(buildPlainRequest({ outputs: ["tiers"] }));
    expect(coverage.counts.interferenceMw[0]).toEqual({ ownSite: 0, otherSites: 0, emitters: 0 });
    expect(coverage.counts.servedCells).toEqual((await plain).coverage.counts.servedCells);
  });

  it("has subscribers of the other sector in its noise, and emitters where there are some", async () => {
    for (const { causes } of (await plain).coverage.noise) {
      expect(causes.subscribersMw).toBeGreaterThan(0);
      expect([causes.emittersMw, causes.basesMw]).toEqual([0, 0]);
    }
    for (const { causes } of (await disturbed).coverage.noise) expect(causes.emittersMw).toBeGreaterThan(0);
  });

  it("has the receiver's own noise alone at a sector that is alone, and an emitter's beside it", async () => {
    const alone = await cover(buildPlainRequest({ sectors: [{ azimuthDeg: 0 }] }));
    const [{ meanDbm }] = alone.coverage.noise;
    expect(meanDbm).toBeCloseTo(alone.coverage.links[0].up.noiseDbm, 9);
    const beside = await cover(buildPlainRequest({ sectors: [{ azimuthDeg: 0 }], emitters }));
    expect(beside.coverage.noise[0].causes.subscribersMw).toBe(0);
    expect(beside.coverage.noise[0].causes.emittersMw).toBeGreaterThan(0);
  });

  it("knows nothing of clutter that no source states, and everything where the request states it", async () => {
    expect((await plain).coverage.isClutterUnknown).toBeNull();
    const { coverage } = await cover(buildPlainRequest({ model: { clutter: undefined } }));
    expect(coverage.isClutterUnknown).toHaveLength(coverage.window.width * coverage.window.height);
    expect(new Set(coverage.isClutterUnknown)).toEqual(new Set([1]));
    expect([coverage.counts.clutterNotKnown, coverage.unknownClutterCodes]).toEqual([null, []]);
  });

  it("lists the terrain of every disc that was swept", async () => {
    expect((await plain).coverage.terrain).toMatchObject([{ kind: "unknown", mastAmslM: 130 }]);
    expect((await disturbed).coverage.terrain.length).toBeGreaterThan(1);
  });
});

describe("the area of a coverage", () => {
  it("is what the mask leaves of the disc", async () => {
    const maskArea = ({ width, height }: { width: number; height: number }) =>
      Uint8Array.from({ length: width * height }, (_, cell) => (cell % width < width / 2 ? 1 : 0));
    const { coverage, cells } = await cover(buildPlainRequest(), { maskArea });
    const { width } = coverage.window;
    const east = cells.tier.filter((_, cell) => cell % width >= width / 2);
    expect(new Set(east)).toEqual(new Set([CELL_CLASS.outside]));
    expect(countCells(cells.tier, isServed)).toBeGreaterThan(80);
  });
});

describe("a coverage that is watched", () => {
  it("hands over strips of 64 rows from north to south", async () => {
    const { strips, coverage } = await cover(buildPlainRequest({ area: { radiusM: 2300, zoom: 11 } }));
    const { height } = coverage.window;
    expect(height).toBeGreaterThan(64);
    expect(height).toBeLessThan(128);
    expect(strips).toEqual([0, 64, 64, height - 64]);
  });

  it("tells its progress: layers are the last fifth, strip by strip", async () => {
    const seen: [number, string][] = [];
    await cover(buildPlainRequest(), { onProgress: (share, stage) => seen.push([share, stage]) });
    expect(seen).toEqual([[1, "layers"]]);
    await cover(buildPlainRequest({ area: { radiusM: 2300, zoom: 11 } }), {
      onProgress: (share, stage) => seen.push([share, stage]),
    });
    expect(seen.slice(1).map(([share]) => share)).toEqual([0.9, 1]);
  });

  it("ends on the signal", async () => {
    await expect(cover(buildPlainRequest(), { signal: AbortSignal.abort() })).rejects.toThrow(CancelledError);
  });
});

describe("noise at sectors", () => {
  const sites = [
    { id: "m", ...MIDDLE },
    { id: "n", ...findGeodesicPoint(MIDDLE, 90, 900) },
  ];
  const twoMasts = (change: object) =>
    buildPlainRequest({ sites, sectors: [{ azimuthDeg: 90 }, { site: "n", azimuthDeg: 270, ...change }] });

  it("is the same for answers as for the coverage", async () => {
    const request = twoMasts({});
    expect(await findSectorNoise(engine, catalogue, request)).toEqual((await cover(request)).coverage.noise);
  });

  it("is that of subscribers alone while masts keep time, and of bases too where they do not", async () => {
    const [apart] = await findSectorNoise(engine, catalogue, twoMasts({ timingGroup: "b" }));
    const [quiet] = await findSectorNoise(engine, catalogue, twoMasts({}));
    expect(apart.causes.basesMw).toBeGreaterThan(0);
    expect(quiet.causes.basesMw).toBe(0);
    expect(quiet.causes.subscribersMw).toBeGreaterThan(0);
  });
});
