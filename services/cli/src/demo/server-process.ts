import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { FellmarkError } from "@fellmark/units";

export interface ServerProcess {
  url: string;
  /** Settles when the server has ended, by itself or by a signal. */
  stopped: Promise<void>;
  /** True once it was told to end: what fails from then on fails for that reason. */
  isEnding(): boolean;
  stop(): Promise<void>;
}

const SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/**
 * Starts API, queue and worker as one process on a free port. It has a process group of its own: a signal to this
 * process or to its whole group then reaches it once, passed on from here.
 */
export async function startServer(folders: { dataDir: string; terrainDir: string }): Promise<ServerProcess> {
  const main = fileURLToPath(new URL("../../../api/dist/main.js", import.meta.url));
  const server = spawn(process.execPath, [main], {
    stdio: ["ignore", "pipe", "inherit"],
    detached: true,
    env: {
      ...process.env,
      FELLMARK_PORT: "0",
      FELLMARK_DATA_DIR: folders.dataDir,
      FELLMARK_TERRAIN_DIR: folders.terrainDir,
      FELLMARK_LOG_LEVEL: "error",
      // Its data goes when it ends: no running job is worth waiting for.
      FELLMARK_SHUTDOWN_MS: "0",
    },
  });
  let isEnding = false;
  const end = () => {
    isEnding = true;
    server.kill("SIGTERM");
  };
  for (const signal of SIGNALS) process.on(signal, end);
  const stopped = once(server, "exit").then(() => {
    for (const signal of SIGNALS) process.off(signal, end);
  });
  for await (const line of createInterface({ input: server.stdout })) {
    const { address: url } = JSON.parse(line) as { address?: string };
    if (url === undefined) continue;
    const stop = async () => {
      // A second signal would cut it off in the middle of its end.
      if (!isEnding) end();
      await stopped;
    };
    return { url, stopped, isEnding: () => isEnding, stop };
  }
  throw new FellmarkError("no_server", "the server ended before it listened");
}
