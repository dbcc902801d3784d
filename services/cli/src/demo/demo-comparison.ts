import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { buildIslandComparison, HORN_SECTOR, PATCH_SECTOR } from "@fellmark/island";
import type { CommandContext } from "../command-context.ts";
import { type ComparisonSummary, formatComparison } from "../output/comparison-table.ts";
import { followJob, type JobState, submitJob } from "./job-client.ts";

const SAVED_FILES = { beforeMap: "patches.png", afterMap: "horn.png", changeMap: "change.png" } as const;

/** One mast with a sector of patches and with a horn, among external emitters. */
export interface DemoComparison {
  state: JobState;
  text: string;
  /** Polar plots of both antennas, SVG. */
  antennas: string;
}

export async function compareOnIsland(serverUrl: string, { startProgress }: CommandContext): Promise<DemoComparison> {
  const request = buildIslandComparison();
  const submitted = await submitJob(serverUrl, "/v1/comparisons", request);
  const bar = startProgress("patches against a horn");
  let state: JobState;
  try {
    state = await followJob(serverUrl, submitted, (share, name) => bar.update(share, name));
  } finally {
    bar.stop();
  }
  const summary = (await (await fetch(state.links.summary)).json()) as ComparisonSummary;
  const antennas = await drawAntennas(serverUrl, request.base.sectors[0].channel.centreMhz / 1000);
  const heading = `${HORN_SECTOR.id} in place of ${PATCH_SECTOR.id}`;
  return { state, text: `${heading}\n\n${formatComparison(summary)}`, antennas };
}

/** Returns polar plots of both antennas, SVG. */
async function drawAntennas(serverUrl: string, frequencyGhz: number): Promise<string> {
  const reply = await fetch(`${serverUrl}/v1/antennas/parameters`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ version: 1, antenna: PATCH_SECTOR, against: HORN_SECTOR, frequencyGhz }),
  });
  if (!reply.ok) throw new Error(`measuring the antennas answered ${reply.status}: ${await reply.text()}`);
  return ((await reply.json()) as { svg: string }).svg;
}

/** Writes the pictures beside the results of the coverage. */
export async function saveComparison({ state, antennas }: DemoComparison, outDir: string): Promise<void> {
  for (const [link, name] of Object.entries(SAVED_FILES)) {
    const reply = await fetch(state.links[link]);
    if (!reply.ok) throw new Error(`${state.links[link]} answered ${reply.status}`);
    await writeFile(join(outDir, name), Buffer.from(await reply.arrayBuffer()));
  }
  await writeFile(join(outDir, "antennas.svg"), antennas);
}
