import { copyFile, mkdir, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { buildIslandRequest, writeIsland } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { printText } from "../output/print.ts";

const DEADLINE_MS = 600_000;

/** Adds `picture`: the map of the invented island as the README shows it, through the whole pipeline. */
export function addPictureCommand(program: Command, context: CommandContext): void {
  program
    .command("picture")
    .description("Draw the map of the invented island as the README shows it")
    .argument("<FILE>", "PNG file to write")
    .addHelpText("after", "\nExample:\n  fellmark picture island.png")
    .action((file: string) => drawIsland(resolvePath(context.config, file), context));
}

async function drawIsland(file: string, { compute, startProgress }: CommandContext): Promise<void> {
  const terrainDir = await mkdtemp(join(tmpdir(), "fellmark-terrain-"));
  const outDir = await mkdtemp(join(tmpdir(), "fellmark-picture-"));
  const bar = startProgress("picture");
  try {
    await writeIsland(terrainDir);
    const request = parseCoverageRequest({ ...buildIslandRequest(), outputs: ["png"] });
    const task = { jobId: "picture", request, terrainDir, outDir };
    await compute.cover(task, { deadlineMs: DEADLINE_MS, onProgress: bar.update });
    await mkdir(dirname(file), { recursive: true });
    await copyFile(join(outDir, "map.png"), file);
  } finally {
    bar.stop();
    await Promise.all([terrainDir, outDir].map((dir) => rm(dir, { recursive: true, force: true })));
  }
  printText(`Written to ${file}`);
}
