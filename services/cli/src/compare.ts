import { mkdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { parseComparisonRequest } from "@fellmark/network";
import { parseWords, required, wholeNumber } from "./arguments.ts";
import { type ComparisonSummary, comparisonTable } from "./comparison-table.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { startProgressBar } from "./progress-bar.ts";
import { idOf, readJson, requireTerrain } from "./request-file.ts";

const DEADLINE_MS = 3_600_000;

/** `compare REQUEST.json --terrain DIR --out DIR [--threads N]`: a coverage before and after changes. */
export async function compare(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { values, positionals } = parseWords(words, ["terrain", "out", "threads"]);
  const request = parseComparisonRequest(await readJson(pathFrom(config, required(positionals[0], "REQUEST.json"))));
  const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
  const outDir = pathFrom(config, required(values.out, "--out"));
  const threads = wholeNumber(values.threads, "--threads", 1, 64);
  const terrain = await compute.terrainState(terrainDir, { deadlineMs: DEADLINE_MS });
  requireTerrain(terrain, terrainDir);
  await mkdir(outDir, { recursive: true });
  const bar = startProgressBar("comparison");
  try {
    const task = { jobId: idOf(request, terrain.fingerprint), request, terrainDir, outDir };
    const limits = { deadlineMs: DEADLINE_MS, onProgress: bar.update };
    await compute.compare(threads === undefined ? task : { ...task, threads }, limits);
  } finally {
    bar.stop();
  }
  const summary = JSON.parse(await readFile(join(outDir, "summary.json"), "utf8")) as ComparisonSummary;
  process.stdout.write(`${comparisonTable(summary)}\nwritten to ${outDir}\n`);
}
