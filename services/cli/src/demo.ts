import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { islandRequest, writeIsland } from "@fellmark/island";
import { parseWords } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { answerIsland, answersText, saveAnswers } from "./demo-answers.ts";
import { compareOnIsland, saveComparison } from "./demo-comparison.ts";
import { followJob, type JobState, submitJob } from "./job-client.ts";
import { startProgressBar } from "./progress-bar.ts";
import { startServer } from "./server-process.ts";
import { columns, type Summary, summaryTable } from "./summary-table.ts";

const RASTER_LINK = "rasters/";
const SAVED_FILES = { summary: "summary.json", tiers: "tiers.geojson", map: "map.png" } as const;

/** `demo [--once] [--out DIR]`: the main job on the invented island, over HTTP, everything in one go. */
export async function demo(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const { values, switches } = parseWords(words, ["out"], ["once"]);
  const home = await mkdtemp(join(tmpdir(), "fellmark-demo-"));
  const terrainDir = join(home, "terrain");
  await mkdir(terrainDir);
  await writeIsland(terrainDir);
  const server = await startServer({ dataDir: join(home, "data"), terrainDir });
  try {
    const state = await coverIsland(server.address);
    const summary = (await (await fetch(state.links.summary)).json()) as Summary;
    const answers = await answerIsland(compute, terrainDir);
    process.stdout.write(`\n${summary.name}\n\n${summaryTable(summary)}\n\n${answersText(answers)}\n\n`);
    process.stdout.write(`${linkTable(server.address, state)}\n`);
    const comparison = await compareOnIsland(server.address);
    process.stdout.write(`\n${comparison.text}\n\n${columns(Object.entries(comparison.state.links))}\n`);
    if (values.out !== undefined) {
      const outDir = pathFrom(config, values.out);
      await save(state, outDir);
      await saveAnswers(compute, answers, outDir);
      await saveComparison(comparison, outDir);
      process.stdout.write(`written to ${outDir}\n`);
    }
    if (!switches.has("once")) {
      process.stdout.write("\nthe service goes on until Ctrl-C\n");
      await server.stopped;
    }
  } catch (error) {
    if (!server.isEnding()) throw error;
  } finally {
    await server.stop();
    await rm(home, { recursive: true, force: true });
  }
}

async function coverIsland(address: string): Promise<JobState> {
  const submitted = await submitJob(address, "/v1/coverages", islandRequest());
  const bar = startProgressBar("coverage of the island");
  try {
    return await followJob(address, submitted, (share, state) => bar.update(share, state));
  } finally {
    bar.stop();
  }
}

/** Where the results are; the rasters share one address but for their names. */
function linkTable(address: string, { links }: JobState): string {
  const names = Object.keys(links).filter((name) => name.startsWith(RASTER_LINK));
  const shown = Object.entries(links).filter(([name]) => !names.includes(name));
  const rasters = names.map((name) => name.slice(RASTER_LINK.length));
  return columns([
    ...shown,
    ["rasters", `${links.self}/rasters/NAME.tif`],
    ["", `NAME: ${rasters.join(" ")}`],
    ["api page", `${address}/docs`],
  ]);
}

async function save(state: JobState, outDir: string): Promise<void> {
  for (const [link, name] of Object.entries(SAVED_FILES)) {
    const reply = await fetch(state.links[link]);
    if (!reply.ok) throw new Error(`${state.links[link]} answered ${reply.status}`);
    const path = join(outDir, name);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, Buffer.from(await reply.arrayBuffer()));
  }
}
