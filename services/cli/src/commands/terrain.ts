import { FellmarkError } from "@fellmark/units";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { TERRAIN_DIR } from "../input/options.ts";
import { printText } from "../output/print.ts";
import { formatTerrain } from "../output/terrain-table.ts";

const DEADLINE_MS = 3_600_000;

/** Adds `terrain check`. */
export function addTerrainCommands(program: Command, context: CommandContext): void {
  const example = "\nExample:\n  fellmark terrain check terrain";
  const terrain = program
    .command("terrain")
    .summary("List and check the rasters of a folder: terrain check")
    .description("Check a terrain folder")
    .addHelpText("after", example);
  terrain
    .command("check")
    .summary("List every raster of a folder, and refused files with the reason")
    .description("List every raster of a folder with extent, resolution, voids and contents, and refused files")
    .argument("<DIR>", TERRAIN_DIR)
    .addHelpText("after", example)
    .action((dir: string) => checkTerrain(resolvePath(context.config, dir), context));
}

async function checkTerrain(dir: string, { compute, startProgress }: CommandContext): Promise<void> {
  const bar = startProgress("terrain");
  const report = await compute
    .terrainReport(dir, { deadlineMs: DEADLINE_MS, onProgress: bar.update })
    .finally(bar.stop);
  printText(formatTerrain(report));
  if (report.files.length === 0) throw new FellmarkError("terrain_empty", `no usable raster in ${dir}`);
}
