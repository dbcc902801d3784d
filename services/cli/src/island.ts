import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { islandRequest, writeIsland } from "@fellmark/island";
import { parseWords, required } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";

/** `island DIR`: the demo's terrain and request as files, to try the other commands and the service on. */
export async function island(words: string[], config: CliConfig): Promise<void> {
  const dir = pathFrom(config, required(parseWords(words, []).positionals[0], "DIR"));
  const terrainDir = join(dir, "terrain");
  const requestFile = join(dir, "request.json");
  await mkdir(terrainDir, { recursive: true });
  await writeIsland(terrainDir);
  await writeFile(requestFile, `${JSON.stringify(islandRequest(), null, 1)}\n`);
  process.stdout.write(`written: ${terrainDir} and ${requestFile}\n`);
}
