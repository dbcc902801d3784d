import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { buildIslandRequest, writeIsland } from "@fellmark/island";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { createTextOption } from "../input/options.ts";
import { formatColumns } from "../output/columns.ts";
import { printText } from "../output/print.ts";
import { formatSummary, type Summary } from "../output/summary-table.ts";
import { answerIsland, formatAnswers, saveAnswers } from "./demo-answers.ts";
import { compareOnIsland, saveComparisons } from "./demo-comparison.ts";
import { publishIsland } from "./demo-layer.ts";
import { followJob, type JobState, submitJob } from "./job-client.ts";
import { startServer } from "./server-process.ts";

const RASTER_LINK = "rasters/";
const SAVED_FILES = { summary: "summary.json", tiers: "tiers.geojson", map: "map.png" } as const;

interface DemoOptions {
  once?: boolean;
  out?: string;
}

/** Adds `demo`: the main job on the invented island, over HTTP, everything in one go. */
export function addDemoCommand(program: Command, context: CommandContext): void {
  program
    .command("demo")
    .description("Run the whole service on an invented island and print its results")
    .option("--once", "end after the results (default: the service runs until Ctrl-C)")
    .addOption(createTextOption("--out <DIR>", "folder to save the results to (default: not saved)"))
    .addHelpText("after", "\nExample:\n  fellmark demo --once --out out")
    .action((options: DemoOptions) => runDemo(options, context));
}

async function runDemo({ once = false, out }: DemoOptions, context: CommandContext): Promise<void> {
  const home = await mkdtemp(join(tmpdir(), "fellmark-demo-"));
  const terrainDir = join(home, "terrain");
  await mkdir(terrainDir);
  await writeIsland(terrainDir);
  const server = await startServer({ dataDir: join(home, "data"), terrainDir });
  try {
    await showIsland(server.url, terrainDir, context, out === undefined ? undefined : resolvePath(context.config, out));
    if (!once) {
      printText("\nThe service runs until Ctrl-C");
      await server.stopped;
    }
  } catch (error) {
    if (!server.isEnding()) throw error;
  } finally {
    await server.stop();
    await rm(home, { recursive: true, force: true });
  }
}

/** Computes coverage, answers and comparisons, publishes a layer, prints all of them, and saves them where a folder is given. */
async function showIsland(
  serverUrl: string,
  terrainDir: string,
  context: CommandContext,
  outDir: string | undefined,
): Promise<void> {
  const state = await coverIsland(serverUrl, context);
  const summary = (await (await fetch(state.links.summary)).json()) as Summary;
  const answers = await answerIsland(context.compute, terrainDir);
  printText(`\n${summary.name}\n\n${formatSummary(summary)}\n\n${formatAnswers(answers)}\n`);
  printText(formatLinks(serverUrl, state));
  printText(`\nPublished as a layer\n\n${await publishIsland(serverUrl, state.id)}`);
  const comparisons = await compareOnIsland(serverUrl, context);
  for (const { text, state: compared } of comparisons) {
    printText(`\n${text}\n\n${formatColumns(Object.entries(compared.links))}`);
  }
  if (outDir === undefined) return;
  await saveCoverage(state, outDir);
  await saveAnswers(context.compute, answers, outDir);
  await saveComparisons(serverUrl, comparisons, outDir);
  printText(`\nResults are in ${outDir}`);
}

async function coverIsland(serverUrl: string, { startProgress }: CommandContext): Promise<JobState> {
  const submitted = await submitJob(serverUrl, "/v1/coverages", buildIslandRequest());
  const bar = startProgress("coverage of the island");
  try {
    return await followJob(serverUrl, submitted, (share, state) => bar.update(share, state));
  } finally {
    bar.stop();
  }
}

/** The URLs of the results; those of the rasters differ only in their names. */
function formatLinks(serverUrl: string, { links }: JobState): string {
  const names = Object.keys(links).filter((name) => name.startsWith(RASTER_LINK));
  const shown = Object.entries(links).filter(([name]) => !names.includes(name));
  const rasters = names.map((name) => name.slice(RASTER_LINK.length));
  return formatColumns([
    ...shown,
    ["rasters", `${links.self}/rasters/NAME.tif`],
    ["", `NAME: ${rasters.join(" ")}`],
    ["API page", `${serverUrl}/docs`],
  ]);
}

async function saveCoverage(state: JobState, outDir: string): Promise<void> {
  for (const [link, name] of Object.entries(SAVED_FILES)) {
    const reply = await fetch(state.links[link]);
    if (!reply.ok) throw new Error(`${state.links[link]} answered ${reply.status}`);
    const path = join(outDir, name);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, Buffer.from(await reply.arrayBuffer()));
  }
}
