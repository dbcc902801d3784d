import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  buildAntennaComparison,
  buildChannelComparison,
  buildIslandRequest,
  PATCH_SECTOR,
  writeIsland,
} from "@fellmark/island";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { printText } from "../output/print.ts";

/** Channels that the provider could choose from. */
const CHANNELS = [5745, 5785, 5825].map((centreMhz) => ({ centreMhz, widthMhz: 40 }));

const EXAMPLE = "\nExample:\n  fellmark island island";

/** Adds `island`: the demo's terrain and requests as files, to try the other commands and the service on. */
export function addIslandCommand(program: Command, { config }: CommandContext): void {
  program
    .command("island")
    .description("Write an invented island, terrain and requests, to try the other commands on")
    .argument("<DIR>", "folder to write to; made if absent")
    .addHelpText("after", EXAMPLE)
    .action((dir: string) => writeExample(resolvePath(config, dir)));
}

async function writeExample(dir: string): Promise<void> {
  const terrainDir = join(dir, "terrain");
  await mkdir(terrainDir, { recursive: true });
  await writeIsland(terrainDir);
  const { id: _id, ...patches } = PATCH_SECTOR;
  const files = {
    "request.json": buildIslandRequest(),
    "comparison.json": buildChannelComparison(),
    "antenna-comparison.json": buildAntennaComparison(),
    "advice.json": { version: 1, base: buildIslandRequest(), channels: CHANNELS },
    "antenna.json": patches,
  };
  for (const [name, content] of Object.entries(files)) {
    await writeFile(join(dir, name), `${JSON.stringify(content, null, 1)}\n`);
  }
  printText(`Written to ${dir}: terrain, ${Object.keys(files).join(", ")}`);
}
