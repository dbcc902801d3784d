import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { islandComparison, islandRequest, PATCH_SECTOR, writeIsland } from "@fellmark/island";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";

/** Channels that the provider could choose from. */
const CHANNELS = [5745, 5785, 5825].map((centreMhz) => ({ centreMhz, widthMhz: 40 }));

/** `island DIR`: the demo's terrain and requests as files, to try the other commands and the service on. */
export async function island(words: string[], config: CliConfig): Promise<void> {
  const dir = pathFrom(config, required(parseWords(words, []).positionals[0], "DIR"));
  const terrainDir = join(dir, "terrain");
  await mkdir(terrainDir, { recursive: true });
  await writeIsland(terrainDir);
  const { id: _id, ...patches } = PATCH_SECTOR;
  const files = {
    "request.json": islandRequest(),
    "comparison.json": islandComparison(),
    "advice.json": { version: 1, base: islandRequest(), channels: CHANNELS },
    "antenna.json": patches,
  };
  for (const [name, content] of Object.entries(files)) {
    await writeFile(join(dir, name), `${JSON.stringify(content, null, 1)}\n`);
  }
  process.stdout.write(`written: ${terrainDir}, and in ${dir} ${Object.keys(files).join(", ")}\n`);
}
