import { execFile } from "node:child_process";
import { promisify } from "node:util";
import { deflateSync } from "node:zlib";
import { expect, test } from "vitest";
import { useFolder } from "../testing/terrain-folder.ts";
import { makeGeoTiff } from "../testing/tiff-maker.ts";

/** 64 blocks of 4 million zeros, 4 kB each. */
const SIDE = 16_384;
const blownUp = makeGeoTiff({
  epsg: 4326,
  x: 10,
  y: 46,
  step: 0.0001,
  widthPx: SIDE,
  heightPx: SIDE,
  tilePx: 2048,
  sampleType: "uint8",
  compression: "deflate",
  value: () => 0,
  blocks: Array(64).fill(deflateSync(Buffer.alloc(2048 * 2048))),
});

/** Reads all of a folder's raster in a process of its own: a report, or a window over it. Prints the outcome. */
const SCRIPT = `
const [root, dir, what] = process.argv.slice(1);
const { openCatalogue, readWindow, reportTerrain } = await import(root + "packages/terrain/dist/index.js");
const { fitWindow } = await import(root + "packages/geodesy/dist/index.js");
const catalogue = await openCatalogue(dir);
const read = () => readWindow(catalogue, ["default"], fitWindow([{ lon: 10.8, lat: 45.2 }], 90_000, 11), { fillVoids: false });
let outcome = {};
try {
  if (what === "report") outcome = (await reportTerrain(catalogue)).files[0];
  else await read();
} catch (error) {
  outcome = { error: error.code, detail: error.message };
}
const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
const { cells, unreadCells, lowestM, error, detail } = outcome;
console.log(JSON.stringify({ cells, unreadCells, lowestM, error, detail, cpuS: (userCPUTime + systemCPUTime) / 1e6, rssMb: maxRSS / 1024 }));
`;

async function readInChild(dir: string, what: "report" | "window") {
  const root = new URL("../../../../", import.meta.url).href;
  const args = ["--input-type=module", "-e", SCRIPT, root, dir, what];
  const { stdout } = await promisify(execFile)(process.execPath, args);
  return JSON.parse(stdout);
}

// Reported of the whole: 19 s and 329 MB; a window: 10 s and 286 MB.
test("a file of 262 kB with 268 million cells takes no more than 5 s and 256 MB", async () => {
  expect(blownUp.length).toBeLessThan(263_000);
  await useFolder({ "a.tif": blownUp }, async (dir) => {
    const report = await readInChild(dir, "report");
    const window = await readInChild(dir, "window");
    console.log(report, window);
    expect(report).toMatchObject({ cells: SIDE * SIDE, lowestM: 0 });
    expect(report.cells - report.unreadCells).toBeGreaterThan(90_000_000);
    expect(report.cells - report.unreadCells).toBeLessThanOrEqual(100_000_000);
    expect(window).toMatchObject({ error: "terrain_too_fine", detail: expect.stringContaining("a.tif") });
    for (const { cpuS, rssMb } of [report, window]) {
      expect(cpuS).toBeLessThan(5);
      expect(rssMb).toBeLessThan(256);
    }
  });
});
