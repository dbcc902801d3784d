import { cpSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { CoverageRequest } from "@fellmark/network";
import { createTempDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Compute } from "./compute.ts";
import { createCompute } from "./create-compute.ts";
import type { CoverTask } from "./job-tasks.ts";
import { buildSmallRequest, TILE, writeTile } from "./testing/small-world.ts";

const DEADLINE_MS = 60_000;
const LAYERS = [
  ...["emitters", "loss", "otherSites", "ownSite", "probability", "rateDown", "rateUp", "secondServer", "server"],
  ...["signalDown", "signalUp", "sinrDown", "sinrUp", "tier"],
];

let folder: TempDir;
let terrainDir: string;
let compute: Compute;
let runs = 0;
/** The small request, computed by a fresh child. */
let first: Run;

beforeAll(async () => {
  folder = createTempDir();
  terrainDir = join(folder.path, "terrain");
  writeTile(terrainDir);
  compute = createCompute();
  first = await cover(buildSmallRequest());
});
afterAll(async () => {
  await compute.close();
  folder.remove();
});

interface Summary {
  terrain: { files: { name: string }[]; refused: { name: string; reason: string }[] };
  lattice: { width: number; height: number; cellM: number };
  cells: { area: number; known: number; notKnown: number };
  notKnownShare: number;
  tiers: { plan: string; cells: number; areaKm2: number; share: number }[];
  noService: { cells: number; areaKm2: number; upOnlyFails: number };
  sectors: { id: string; servedCells: number }[];
  files: { name: string; bytes: number; sha256: string }[];
  warnings: { code: string; detail: string }[];
}

interface Run {
  outDir: string;
  progress: number[];
  /** summary.json as text: with the hashes of all other files in it, it stands for the whole result. */
  text: string;
  summary: Summary;
}

async function cover(request: CoverageRequest, change: Partial<CoverTask> = {}, by = compute): Promise<Run> {
  const outDir = join(folder.path, `out-${++runs}`);
  mkdirSync(outDir);
  const progress: number[] = [];
  const onProgress = (share: number) => progress.push(share);
  await by.cover({ jobId: "j1", request, terrainDir, outDir, ...change }, { deadlineMs: DEADLINE_MS, onProgress });
  const text = readFileSync(join(outDir, "summary.json"), "utf8");
  return { outDir, progress, text, summary: JSON.parse(text) };
}

describe("a coverage", () => {
  it("writes everything that was asked for, and lists it", () => {
    const { outDir, summary, progress } = first;
    expect(readdirSync(outDir).sort()).toEqual([
      "map.png",
      "rasters",
      "summary.json",
      "tier-classes.bin",
      "tiers.geojson",
    ]);
    expect(readdirSync(join(outDir, "rasters")).sort()).toEqual(LAYERS.map((name) => `${name}.tif`));
    const names = ["map.png", ...LAYERS.map((name) => `rasters/${name}.tif`), "tiers.geojson"];
    expect(summary.files.map(({ name }) => name)).toEqual(names);
    for (const { name, bytes } of summary.files) expect(readFileSync(join(outDir, name)).length).toBe(bytes);
    expect(progress).toEqual([...progress].sort((a, b) => a - b));
    expect([progress[0] >= 0, progress.at(-1)]).toEqual([true, 1]);
  });

  it("adds up: every cell is in one tier, without service or not known", () => {
    const { cells, tiers, noService, sectors } = first.summary;
    const sold = tiers.reduce((sum, tier) => sum + tier.cells, 0);
    expect(sold + noService.cells).toBe(cells.known);
    expect(cells.known + cells.notKnown).toBe(cells.area);
    expect(sectors.reduce((sum, sector) => sum + sector.servedCells, 0)).toBe(sold);
    expect(sold).toBeGreaterThan(0);
    // Two discs of 1500 m whose centres lie 697 m apart: the union by elementary geometry.
    const [radiusKm, apartKm] = [1.5, 0.697];
    const lens =
      2 * radiusKm ** 2 * Math.acos(apartKm / (2 * radiusKm)) -
      (apartKm / 2) * Math.sqrt(4 * radiusKm ** 2 - apartKm ** 2);
    const areaKm2 = tiers.reduce((sum, tier) => sum + tier.areaKm2, noService.areaKm2);
    expect(Math.abs(areaKm2 / (2 * Math.PI * radiusKm ** 2 - lens) - 1)).toBeLessThan(0.005);
  });

  it("leaves out what was not asked for", async () => {
    const { outDir, summary } = await cover({ ...buildSmallRequest(), outputs: [] });
    expect(readdirSync(outDir)).toEqual(["summary.json"]);
    expect(summary.files).toEqual([]);
    expect(summary.tiers.some((tier) => tier.cells > 0)).toBe(true);
  });

  it("holds no NaN: null stands only where it is meant (F8)", () => {
    const fields = first.text.match(/"\w+": null\b/g) ?? [];
    const meant = [
      "date",
      "network",
      "water",
      "clutterNotKnownShare",
      "binding",
      "scansDbm",
      "emittersDbm",
      "basesDbm",
      "ownSiteDbm",
      "otherSitesDbm",
      "emittersDbm",
    ];
    expect(fields.filter((field) => !meant.some((name) => field.includes(`"${name}"`)))).toEqual([]);
  });
});

describe("what every file says of itself", () => {
  it("is the job, the models and the margins, and the shares of the classes in the polygons", () => {
    const tiers = JSON.parse(readFileSync(join(first.outDir, "tiers.geojson"), "utf8"));
    expect(tiers).toMatchObject({ id: "j1", name: "small", confidence: 0.9, availability: 0.999, cpeHeightAglM: 6 });
    expect(JSON.parse(first.text)).toMatchObject({ id: "j1", model: tiers.model, confidence: 0.9, cpeHeightAglM: 6 });
    expect(tiers).toMatchObject({ date: null, network: null });
    const { plans, surveyFirst, noService, notKnown } = tiers.shares;
    const shares = [...plans, ...surveyFirst].map(({ share }) => share);
    expect([...shares, noService, notKnown].reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
  });
});

it("states day and network version of the request in polygons, rasters and summary", async () => {
  const networkVersion = `n${"5".repeat(64)}`;
  const { outDir, summary } = await cover({ ...buildSmallRequest(), networkVersion }, { date: "2026-11-30" });
  const stated = { date: "2026-11-30", network: networkVersion };
  expect(summary).toMatchObject(stated);
  expect(JSON.parse(readFileSync(join(outDir, "tiers.geojson"), "utf8"))).toMatchObject(stated);
  const raster = readFileSync(join(outDir, "rasters", "tier.tif"), "latin1");
  expect(raster).toContain('<Item name="date">2026-11-30</Item>');
  expect(raster).toContain(`<Item name="network">${networkVersion}</Item>`);
});

describe("places where nothing is known to stand", () => {
  it("have their plans only after a survey, in polygons and summary alike", async () => {
    const known = buildSmallRequest();
    const request = { ...known, model: { ...known.model, clutter: { class: "unknown" as const } } };
    const { outDir, text } = await cover(request);
    const { features } = JSON.parse(readFileSync(join(outDir, "tiers.geojson"), "utf8"));
    const kinds = features.map((feature: { properties: { class: string } }) => feature.properties.class);
    expect(new Set(kinds)).toEqual(new Set(["survey-first"]));
    const { tiers, surveyFirst } = JSON.parse(text);
    const sold = tiers.reduce((sum: number, { cells }: { cells: number }) => sum + cells, 0);
    expect([surveyFirst.cells, surveyFirst.cells > 0]).toEqual([sold, true]);
    for (const tier of tiers) expect(tier.surveyFirst.cells).toBe(tier.cells);
  });

  it("are a feature of their own without elevation, of the share that the summary states", async () => {
    const { outDir, summary } = await cover(buildSmallRequest({ lon: TILE.east - 1 / 108.688, radiusM: 3000 }));
    const { features } = JSON.parse(readFileSync(join(outDir, "tiers.geojson"), "utf8"));
    const { properties } = features[features.length - 1];
    expect(properties).toMatchObject({ class: "not-known", plan: null, share: summary.notKnownShare });
  });
});

describe("an area bounded by shapes", () => {
  const shaped = (area: Pick<CoverageRequest["area"], "within" | "exclude">) => {
    const request = buildSmallRequest();
    return { ...request, area: { ...request.area, ...area } };
  };
  const circle = (radiusM: number) => ({ circle: { lon: -30.5, lat: 12.5, radiusM } });

  it("counts a circle within the radius, and says so", async () => {
    const { summary } = await cover(shaped({ within: circle(800) }));
    const areaKm2 = summary.tiers.reduce((sum, tier) => sum + tier.areaKm2, summary.noService.areaKm2);
    expect(Math.abs(areaKm2 / (Math.PI * 0.8 ** 2) - 1)).toBeLessThan(0.005);
    expect(summary.warnings).toContainEqual(
      expect.objectContaining({ code: "area_restricted", pointer: "/area/within" }),
    );
  });

  it("is split by a circle into what lies within it and what excludes it, cell for cell", async () => {
    const [inside, beyond] = [shaped({ within: circle(800) }), shaped({ exclude: circle(800) })];
    const [{ summary: one }, { summary: other }] = [await cover(inside), await cover(beyond)];
    const whole = first.summary;
    expect(one.cells.area + other.cells.area).toBe(whole.cells.area);
    expect(one.noService.cells + other.noService.cells).toBe(whole.noService.cells);
    for (const [index, tier] of whole.tiers.entries()) {
      expect(one.tiers[index].cells + other.tiers[index].cells).toBe(tier.cells);
    }
  });

  it("is refused where the shapes leave nothing", async () => {
    await expect(cover(shaped({ exclude: circle(20_000) }))).rejects.toMatchObject({ code: "invalid_input" });
  });
});

describe("the same inputs give the same bytes (P12)", () => {
  it("on one thread and on two, in a fresh child and in a warm one", async () => {
    const threaded = [1, 2].map(async (threads) => {
      const fresh = createCompute();
      const { text } = await cover(buildSmallRequest(), { threads }, fresh);
      await fresh.close();
      return text;
    });
    const warm = cover(buildSmallRequest()).then(({ text }) => text);
    expect(await Promise.all([...threaded, warm])).toEqual(Array(3).fill(first.text));
  });

  it("with an empty loss cache, a full one and a broken one", async () => {
    const cacheDir = join(folder.path, "cache");
    const cached = async () => (await cover(buildSmallRequest(), { cacheDir })).text;
    expect(await cached()).toBe(first.text);
    const entries = readdirSync(cacheDir);
    expect(entries).toHaveLength(4);
    expect(await cached()).toBe(first.text);
    for (const name of entries) {
      const bytes = readFileSync(join(cacheDir, name));
      bytes[bytes.length >> 1] ^= 1;
      writeFileSync(join(cacheDir, name), bytes);
    }
    expect(await cached()).toBe(first.text);
    expect(readdirSync(cacheDir).sort()).toEqual(entries.sort());
  });

  it("from a terrain folder of another name", async () => {
    const elsewhere = join(folder.path, "moved");
    cpSync(terrainDir, elsewhere, { recursive: true });
    expect((await cover(buildSmallRequest(), { terrainDir: elsewhere })).text).toBe(first.text);
  });
});

describe("terrain that is not all there (P5)", () => {
  it("a mast on unknown ground is refused", async () => {
    await expect(cover(buildSmallRequest({ lon: TILE.east + 0.3 }))).rejects.toMatchObject({ code: "mast_not_known" });
  });

  it("a mast in a void of the tile is refused", async () => {
    const holed = join(folder.path, "holed");
    writeTile(holed, (column, row) => Math.hypot(column - 600, row - 600) < 3);
    await expect(cover(buildSmallRequest(), { terrainDir: holed })).rejects.toMatchObject({ code: "mast_not_known" });
  });

  it("the share beyond the edge of the tile is the area of that segment of the disc", async () => {
    // Masts 1000 m west of the edge; a degree of longitude at latitude 12.5 is 108.688 km on WGS84.
    const inKm = 1;
    const { summary } = await cover(buildSmallRequest({ lon: TILE.east - inKm / 108.688, radiusM: 3000 }));
    const { cells, notKnownShare } = summary;
    expect(cells.notKnown / cells.area).toBe(notKnownShare);
    // Every row of the union is cut at the same longitude; the masts stand north of one another, 0.697 km apart.
    const segment = (radiusKm: number) =>
      radiusKm ** 2 * Math.acos(inKm / radiusKm) - inKm * Math.sqrt(radiusKm ** 2 - inKm ** 2);
    const lens = 2 * 9 * Math.acos(0.697 / 6) - (0.697 / 2) * Math.sqrt(36 - 0.697 ** 2);
    const union = 2 * Math.PI * 9 - lens;
    expect(notKnownShare).toBeGreaterThan(segment(3) / union);
    expect(notKnownShare).toBeLessThan((segment(3) + 0.697 * (3 - inKm)) / union);
  });

  it("a refused raster is named with its reason, at once, also where its directories run in a circle (F6)", async () => {
    const spoilt = join(folder.path, "spoilt");
    writeTile(spoilt);
    const oneField = [1, 0, 0, 1, 4, 0, 1, 0, 0, 0, 1, 0, 0, 0];
    writeFileSync(
      join(spoilt, "circle.tif"),
      Buffer.from([...Buffer.from("II*\0"), 8, 0, 0, 0, ...oneField, 8, 0, 0, 0]),
    );
    writeFileSync(join(spoilt, "notes.asc"), "ncols 10\n");
    const { summary } = await cover(buildSmallRequest(), { terrainDir: spoilt });
    expect(summary.terrain.refused).toEqual([
      { name: "circle.tif", reason: expect.stringContaining("circle") },
      { name: "notes.asc", reason: expect.stringContaining(".asc is not read") },
    ]);
    expect(summary.warnings.filter(({ code }) => code === "terrain_refused")).toHaveLength(2);
    expect(summary.terrain.files.map(({ name }) => name)).toEqual([TILE.name]);
  });
});
