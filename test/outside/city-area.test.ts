import { copyFileSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Engine } from "@fellmark/coverage";
import { parseCoverageRequest } from "@fellmark/network";
import { type ClutterWindow, openCatalogue, readClutterWindow, type TerrainCatalogue } from "@fellmark/terrain";
import { needsShared, sharedDir, type TempDir, tempDir } from "@fellmark/testkit";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Covered, cover, createEngine, knownCells } from "./covered.ts";

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
    folder = tempDir();
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

  /** Median loss by what stands there, dB: in streets and squares, in what is taller than the CPE. */
  const lossesOf = (covered: Covered) => {
    const lossDb = (cells: number[]) =>
      median(cells.map((cell) => bare.signalDownDbm[cell] - covered.signalDownDbm[cell]));
    const cells = knownCells(bare);
    return {
      open: lossDb(cells.filter((cell) => stands.heightM[cell] === 0)),
      under: lossDb(cells.filter((cell) => stands.heightM[cell] > 2 * CPE_M)),
    };
  };

  it("weakens CPEs under roofs and crowns by the end clutter, and streets no more than open land", async () => {
    const { open, under } = lossesOf(await cover(engine, catalogue, requestWith({ clutter: CLUTTER })));
    // Eq (2b) of P.2108-1 for open land of 10 m at 3 m and 5.6 GHz: 13.83 dB.
    expect(open).toBeCloseTo(13.83, 1);
    expect(under).toBeGreaterThan(open + 3);
  });

  it("puts streets into the shadow of houses by method p1812", async () => {
    const onPath = await cover(engine, catalogue, requestWith({ clutter: CLUTTER, method: "path-clutter" }));
    const { open, under } = lossesOf(onPath);
    expect(open).toBeGreaterThan(10);
    expect(under).toBeGreaterThan(open);
    const shaded = knownCells(bare).filter((cell) => bare.signalDownDbm[cell] - onPath.signalDownDbm[cell] > 15);
    expect(shaded.length / knownCells(bare).length).toBeGreaterThan(0.3);
  });
});
