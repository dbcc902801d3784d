import { copyFile, mkdir, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { islandRequest, writeIsland } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { startProgressBar } from "./progress-bar.ts";

const DEADLINE_MS = 600_000;

/** `picture FILE`: the map of the invented island as the README shows it, through the whole pipeline. */
export async function picture(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const file = pathFrom(config, required(parseWords(words, []).positionals[0], "FILE"));
  const terrainDir = await mkdtemp(join(tmpdir(), "fellmark-terrain-"));
  const outDir = await mkdtemp(join(tmpdir(), "fellmark-picture-"));
  const bar = startProgressBar("picture");
  try {
    await writeIsland(terrainDir);
    const request = parseCoverageRequest({ ...islandRequest(), outputs: ["png"] });
    const task = { jobId: "picture", request, terrainDir, outDir };
    await compute.cover(task, { deadlineMs: DEADLINE_MS, onProgress: bar.update });
    await mkdir(dirname(file), { recursive: true });
    await copyFile(join(outDir, "map.png"), file);
  } finally {
    bar.stop();
    await Promise.all([terrainDir, outDir].map((dir) => rm(dir, { recursive: true, force: true })));
  }
  process.stdout.write(`written to ${file}\n`);
}
