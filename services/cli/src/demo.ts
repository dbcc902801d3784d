import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { islandAddresses, islandRequest, writeIsland } from "@fellmark/island";
import { parseCoverageRequest } from "@fellmark/network";
import { parseWords } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { type CoverageState, followCoverage, submitCoverage } from "./coverage-client.ts";
import { startProgressBar } from "./progress-bar.ts";
import { startServer } from "./server-process.ts";
import { columns, type Summary, summaryTable } from "./summary-table.ts";

const ANSWER_DEADLINE_MS = 60_000;
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
    process.stdout.write(
      `\n${summary.name}\n${summaryTable(summary)}\n\n${await addressTable(compute, terrainDir)}\n\n`,
    );
    process.stdout.write(`${columns(Object.entries(state.links))}\napi page   ${server.address}/docs\n`);
    if (values.out !== undefined) await save(state, pathFrom(config, values.out));
    if (!switches.has("once")) {
      process.stdout.write("\nthe service goes on until Ctrl-C\n");
      await server.stopped;
    }
  } finally {
    await server.stop();
    await rm(home, { recursive: true, force: true });
  }
}

async function coverIsland(address: string): Promise<CoverageState> {
  const submitted = await submitCoverage(address, islandRequest());
  const bar = startProgressBar("coverage of the island");
  try {
    return await followCoverage(address, submitted, (share, state) => bar.update(share, state));
  } finally {
    bar.stop();
  }
}

/** The addresses of the island, each answered along its own profile. */
async function addressTable(compute: Compute, terrainDir: string): Promise<string> {
  const request = parseCoverageRequest(islandRequest());
  const rows: string[][] = [];
  for (const { address, lon, lat } of islandAddresses()) {
    const task = { request, at: { lon, lat }, terrainDir };
    const { verdict, plan, reason } = await compute.answer(task, { deadlineMs: ANSWER_DEADLINE_MS });
    rows.push([address, verdict, plan ?? "-", reason]);
  }
  return columns(rows);
}

async function save(state: CoverageState, outDir: string): Promise<void> {
  for (const [link, name] of Object.entries(SAVED_FILES)) {
    const reply = await fetch(state.links[link]);
    if (!reply.ok) throw new Error(`${state.links[link]} answered ${reply.status}`);
    const path = join(outDir, name);
    await mkdir(dirname(path), { recursive: true });
    await writeFile(path, Buffer.from(await reply.arrayBuffer()));
  }
  process.stdout.write(`written to ${outDir}\n`);
}
