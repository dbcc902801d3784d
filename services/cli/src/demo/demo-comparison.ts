import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { buildAntennaComparison, buildChannelComparison, HORN_SECTOR, PATCH_SECTOR } from "@fellmark/island";
import type { CommandContext } from "../command-context.ts";
import { type ComparisonSummary, formatComparison } from "../output/comparison-table.ts";
import { followJob, type JobState, submitJob } from "./job-client.ts";

/** A comparison that the demo shows, and the files that it saves by the names of their links. */
interface ShownComparison {
  title: string;
  request: ReturnType<typeof buildChannelComparison> | ReturnType<typeof buildAntennaComparison>;
  files: Readonly<Record<string, string>>;
}

/** One sector of patches among external emitters: first on a clear channel, then with a horn. */
function listComparisons(): ShownComparison[] {
  const channel = buildChannelComparison();
  const [from, to] = [channel.base.sectors[0].channel.centreMhz, channel.changes[0].channel.centreMhz];
  return [
    {
      title: `channel ${from} to ${to} MHz`,
      request: channel,
      files: { afterMap: "channel.png", changeMap: "channel-change.png" },
    },
    {
      title: `${HORN_SECTOR.id} in place of ${PATCH_SECTOR.id}`,
      request: buildAntennaComparison(),
      files: { beforeMap: "patches.png", afterMap: "horn.png", changeMap: "change.png" },
    },
  ];
}

/** A comparison with its result, as text and as links to its files. */
export interface DemoComparison {
  state: JobState;
  text: string;
  files: ShownComparison["files"];
}

/** Computes the comparisons of the demo, one after the other. */
export async function compareOnIsland(serverUrl: string, context: CommandContext): Promise<DemoComparison[]> {
  const compared: DemoComparison[] = [];
  for (const shown of listComparisons()) compared.push(await compareOnce(serverUrl, context, shown));
  return compared;
}

async function compareOnce(
  serverUrl: string,
  { startProgress }: CommandContext,
  { title, request, files }: ShownComparison,
): Promise<DemoComparison> {
  const submitted = await submitJob(serverUrl, "/v1/comparisons", request);
  const bar = startProgress(title);
  let state: JobState;
  try {
    state = await followJob(serverUrl, submitted, (share, name) => bar.update(share, name));
  } finally {
    bar.stop();
  }
  const summary = (await (await fetch(state.links.summary)).json()) as ComparisonSummary;
  return { state, text: `${title}\n\n${formatComparison(summary)}`, files };
}

/** Writes the pictures beside the results of the coverage, and the polar plots of both antennas. */
export async function saveComparisons(
  serverUrl: string,
  comparisons: readonly DemoComparison[],
  outDir: string,
): Promise<void> {
  for (const { state, files } of comparisons) {
    for (const [link, name] of Object.entries(files)) {
      const reply = await fetch(state.links[link]);
      if (!reply.ok) throw new Error(`${state.links[link]} answered ${reply.status}`);
      await writeFile(join(outDir, name), Buffer.from(await reply.arrayBuffer()));
    }
  }
  await writeFile(join(outDir, "antennas.svg"), await drawAntennas(serverUrl));
}

/** Returns polar plots of both antennas, SVG. */
async function drawAntennas(serverUrl: string): Promise<string> {
  const frequencyGhz = buildAntennaComparison().base.sectors[0].channel.centreMhz / 1000;
  const reply = await fetch(`${serverUrl}/v1/antennas/parameters`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ version: 1, antenna: PATCH_SECTOR, against: HORN_SECTOR, frequencyGhz }),
  });
  if (!reply.ok) throw new Error(`measuring the antennas answered ${reply.status}: ${await reply.text()}`);
  return ((await reply.json()) as { svg: string }).svg;
}
