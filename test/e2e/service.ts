import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { tempDir, watchLines } from "@fellmark/testkit";
import { writeTinyTerrain } from "./tiny-terrain.ts";

export const serviceMain = fileURLToPath(new URL("../../services/api/dist/main.js", import.meta.url));

/** The real service in a process of its own, on a free port, with the embedded queue and a data folder of its own. */
export interface RunningService {
  address: string;
  child: ChildProcess;
  /** Names of all files below the data folder. */
  dataFiles(): string[];
  /** Code and signal with which the process ends. */
  ended: Promise<unknown[]>;
  /** Kills the process if it still runs and removes its folders. */
  remove(): Promise<void>;
}

export async function startService(env: Record<string, string> = {}): Promise<RunningService> {
  if (!existsSync(serviceMain)) throw new Error("build first: npx tsc -b");
  const dir = tempDir("fellmark-e2e-");
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
  const [, address = ""] = await watchLines(child.stdout).waitFor(/"address":"(http:[^"]+)"/, 30_000);
  return {
    address,
    child,
    ended,
    dataFiles: () => readdirSync(dataDir, { recursive: true }).map(String),
    async remove() {
      child.kill("SIGKILL");
      await ended;
      dir.remove();
    },
  };
}
