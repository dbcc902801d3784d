import { execFile } from "node:child_process";
import { join } from "node:path";
import { promisify } from "node:util";
import {
  computeCellSizeM,
  computeProjectedCellSizeM,
  countWorldCells,
  toLatticeColumn,
  toLatticeRow,
} from "@fellmark/geodesy";
import type { SweepSetup } from "@fellmark/sweep";
import { writeRaster } from "@fellmark/tiers";
import { measure } from "./report.ts";

const run = promisify(execFile);

/** Median seconds of the gdal_viewshed command on the same raster, mast and range: visibility only. */
export async function viewshedSeconds(setup: SweepSetup, folder: string, runs: number): Promise<number> {
  const { window, mast, radiusM } = setup;
  const raster = join(folder, "heights.tif");
  const heights = Int16Array.from(setup.ground.cellAmslM, Math.round);
  await writeRaster(raster, window, heights, { scale: 1, offset: 0, unit: "m", noData: -32_768, name: "heights" });
  await run("gdal_translate", ["-q", "-co", "TILED=NO", raster, join(folder, "plain.tif")]);
  const cell = computeProjectedCellSizeM(window.zoom);
  const half = countWorldCells(window.zoom) / 2;
  const x = (toLatticeColumn(mast.lon, window.zoom) - half) * cell;
  const y = (half - toLatticeRow(mast.lat, window.zoom)) * cell;
  const reach = (radiusM * cell) / computeCellSizeM(mast.lat, window.zoom);
  const words = ["-q", "-ox", `${x}`, "-oy", `${y}`, "-oz", "30", "-tz", "6", "-md", `${reach}`];
  const { median } = await measure(runs, 1, async () => {
    await run("gdal_viewshed", [...words, join(folder, "plain.tif"), join(folder, "seen.tif")]);
  });
  return median;
}

export async function gdalVersion(): Promise<string> {
  const { stdout } = await run("gdalinfo", ["--version"]);
  return `gdal_viewshed ${/GDAL ([\d.]+)/.exec(stdout)?.[1] ?? ""}`;
}
