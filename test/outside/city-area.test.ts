import { copyFileSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { answerPoint, prepareAnswers } from "@fellmark/answers";
import type { Engine } from "@fellmark/coverage";
import { findGeodesicPoint } from "@fellmark/geodesy";
import { parseCoverageRequest } from "@fellmark/network";
import {
  CLUTTER_KINDS,
  type ClutterWindow,
  type LonLatBox,
  openCatalogue,
  openClutter,
  openMosaic,
  readClutterWindow,
  type TerrainCatalogue,
} from "@fellmark/terrain";
import { createSeededRandom, createTempDir, needsShared, sharedDir, type TempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Covered, cover, createEngine, knownCells } from "./covered.ts";
import { measureInsideM } from "./line-inside.ts";

/** Lidar heights of a city area, 5 m ground, 2.5 m buildings and trees (../shared/terrain/companions, CC BY 4.0 PNOA-LiDAR, IGN Spain). */
const SETS = [
  { name: "ground", kind: "bare", ending: "_DEM.tif" },
  { name: "houses", kind: "buildings", ending: "_BDSM.tif" },
  { name: "trees", kind: "canopy", ending: "_CDSM.tif" },
];

const CLUTTER = { buildings: "houses", canopy: "trees" };
/** A CPE on the ground floor: walls and leaves are all around it. */
const CPE_M = 3;

function requestWith(model: object) {
  return parseCoverageRequest({
    version: 1,
    area: { radiusM: 1000, zoom: 15 },
    terrain: { sets: ["ground"] },
    model,
    sites: [{ id: "s", lon: -2.9864, lat: 43.3123 }],
    antennas: [{ id: "even", kind: "isotropic", gainDbi: 12 }],
    radios: [{ id: "r", table: "802.11ax" }],
    sectors: [
      {
        ...{ id: "all", site: "s", antenna: "even", radio: "r", heightAglM: 40, azimuthDeg: 0, powerDbm: 19 },
        channel: { centreMhz: 5600, widthMhz: 20 },
      },
    ],
    cpe: { heightAglM: CPE_M, antenna: "even", radio: "r", powerDbm: 19 },
    plans: [{ id: "p25", downMbps: 25, upMbps: 5 }],
  });
}

function median(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1];
}

describe.skipIf(!needsShared())("streets and trees of a city area", () => {
  let folder: TempDir;
  let engine: Engine;
  let catalogue: TerrainCatalogue;
  let bare: Covered;
  let stands: ClutterWindow;
  beforeAll(async () => {
    folder = createTempDir();
    const companions = join(sharedDir, "terrain/companions");
    for (const { name, ending } of SETS) {
      mkdirSync(join(folder.path, name));
      const file = readdirSync(companions).find((each) => each.endsWith(ending)) as string;
      copyFileSync(join(companions, file), join(folder.path, name, `${name}.tif`));
    }
    const sets = SETS.map(({ name, kind }) => ({ name, path: name, kind }));
    writeFileSync(join(folder.path, "terrain.json"), JSON.stringify({ version: 1, sets }));
    catalogue = await openCatalogue(folder.path);
    engine = createEngine();
    bare = await cover(engine, catalogue, requestWith({ clutter: { class: "unknown" } }));
    stands = await readClutterWindow(catalogue, CLUTTER, bare.window);
  });
  afterAll(async () => {
    await engine.pool.close();
    folder.remove();
  });

  /** Median loss by kind of cell, dB: streets and squares, crowns and roofs well above a CPE on the ground. */
  const lossesOf = (covered: Covered) => {
    const lossDb = (cells: number[]) =>
      median(cells.map((cell) => bare.signalDownDbm[cell] - covered.signalDownDbm[cell]));
    const tall = (isTree: boolean) => (cell: number) =>
      stands.heightM[cell] > 2 * CPE_M && (CLUTTER_KINDS[stands.kind[cell]] === "trees") === isTree;
    const cells = knownCells(bare);
    return {
      streets: lossDb(cells.filter((cell) => stands.heightM[cell] === 0)),
      crowns: lossDb(cells.filter(tall(true))),
      roofs: lossDb(cells.filter(tall(false))),
    };
  };

  it("weakens CPEs under crowns and below roofs by the end clutter, and streets not at all above 3 GHz", async () => {
    const model = { clutter: CLUTTER, method: "end-clutter" };
    const { streets, crowns, roofs } = lossesOf(await cover(engine, catalogue, requestWith(model)));
    expect(streets).toBe(0);
    expect(Math.min(crowns, roofs)).toBeGreaterThan(10);
  });

  it("puts streets into the shadow of houses and trees, crowns into more, and CPEs on roofs into less", async () => {
    const onPath = await cover(engine, catalogue, requestWith({ clutter: CLUTTER }));
    const { streets, crowns, roofs } = lossesOf(onPath);
    expect(streets).toBeGreaterThan(8);
    expect(crowns).toBeGreaterThan(streets);
    expect(roofs).toBeLessThan(crowns - 5);
    const shaded = knownCells(bare).filter((cell) => bare.signalDownDbm[cell] - onPath.signalDownDbm[cell] > 15);
    expect(shaded.length / knownCells(bare).length).toBeGreaterThan(0.25);
  });

  it("gives 2,000 places one story: verdict, sentence, budget and what a separate walk finds in the line", async () => {
    const request = requestWith({ clutter: CLUTTER });
    const scene = await prepareAnswers(engine, catalogue, request);
    const [site] = request.sites;
    const box: LonLatBox = [site.lon - 0.02, site.lat - 0.015, site.lon + 0.02, site.lat + 0.015];
    const ground = await openMosaic(catalogue, ["ground"], box);
    const clutter = await openClutter(catalogue, CLUTTER, box);
    const random = createSeededRandom(5);
    const obstructed = { places: 0, serviceable: 0 };
    for (let tried = 0; tried < 2000; tried++) {
      const at = findGeodesicPoint(site, 360 * random(), 150 + 750 * random());
      const answer = await answerPoint(scene, at);
      const [best] = answer.links;
      if (!best) continue;
      const isClear = best.class === "clear" && best.inTheWay.length === 0;
      expect(answer.reason.includes("clear line of sight")).toBe(isClear);
      const clutterDb = -(best.down.find(({ term }) => term === "clutter-path")?.db ?? 0);
      const insideM = measureInsideM({ ground, clutter }, site, at, { mastM: 40, cpeM: answer.heightAglM });
      if (insideM <= 20) continue;
      obstructed.places++;
      expect(isClear).toBe(false);
      // Where the ground alone blocks the line, what stands on it may add nothing: such a place is not served anyway.
      if (answer.verdict === "serviceable" && clutterDb < 3) obstructed.serviceable++;
    }
    expect(obstructed.places).toBeGreaterThan(200);
    expect(obstructed.serviceable).toBe(0);
  });
});
