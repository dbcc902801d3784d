import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { createTempDir, type LineWatch, type TempDir, watchLines } from "@fellmark/testkit";
import { writeTinyTerrain } from "./tiny-terrain.ts";

export const serviceMain = fileURLToPath(new URL("../../services/api/dist/main.js", import.meta.url));

/** The real service in a process of its own, on a free port, with the embedded queue and a data folder of its own. */
export interface RunningService {
  address: string;
  child: ChildProcess;
  /** What it wrote to stdout. */
  output: LineWatch;
  /** Its folders: give them to another `startService` to start it again on the same data. */
  dir: TempDir;
  /** Names of all files below the data folder. */
  dataFiles(): string[];
  /** Code and signal with which the process ends. */
  ended: Promise<unknown[]>;
  /** Kills the process if it still runs and removes its folders. */
  remove(): Promise<void>;
}

export async function startService(
  env: Record<string, string> = {},
  dir: TempDir = createTempDir("fellmark-e2e-"),
): Promise<RunningService> {
  if (!existsSync(serviceMain)) throw new Error("build first: npx tsc -b");
  const dataDir = path.join(dir.path, "data");
  const terrainDir = path.join(dir.path, "terrain");
  writeTinyTerrain(terrainDir);
  const { REDIS_URL: _none, ...inherited } = process.env;
  const child = spawn(process.execPath, [serviceMain], {
    env: {
      ...inherited,
      FELLMARK_PORT: "0",
      FELLMARK_DATA_DIR: dataDir,
      FELLMARK_TERRAIN_DIR: terrainDir,
      ...env,
    },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const ended = once(child, "exit");
  const output = watchLines(child.stdout);
  const [, address = ""] = await output.waitFor(/"address":"(http:[^"]+)"/, 30_000);
  return {
    address,
    child,
    output,
    dir,
    ended,
    dataFiles: () => readdirSync(dataDir, { recursive: true }).map(String),
    async remove() {
      child.kill("SIGKILL");
      await ended;
      dir.remove();
    },
  };
}
