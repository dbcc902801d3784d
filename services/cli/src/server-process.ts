import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { FellmarkError } from "@fellmark/units";

export interface ServerProcess {
  address: string;
  /** Settles when the server has ended, by itself or by a signal. */
  stopped: Promise<void>;
  stop(): Promise<void>;
}

/** Starts API, queue and worker as one process on a free port; Ctrl-C reaches it as well as us. */
export async function startServer(folders: { dataDir: string; terrainDir: string }): Promise<ServerProcess> {
  const main = fileURLToPath(new URL("../../api/dist/main.js", import.meta.url));
  const server = spawn(process.execPath, [main], {
    stdio: ["ignore", "pipe", "inherit"],
    env: {
      ...process.env,
      FELLMARK_PORT: "0",
      FELLMARK_DATA_DIR: folders.dataDir,
      FELLMARK_TERRAIN_DIR: folders.terrainDir,
      FELLMARK_LOG_LEVEL: "error",
    },
  });
  const ignoreSignal = () => undefined;
  process.on("SIGINT", ignoreSignal).on("SIGTERM", ignoreSignal);
  const stopped = once(server, "exit").then(() => {
    process.off("SIGINT", ignoreSignal).off("SIGTERM", ignoreSignal);
  });
  for await (const line of createInterface({ input: server.stdout })) {
    const { address } = JSON.parse(line) as { address?: string };
    if (address === undefined) continue;
    const stop = async () => {
      server.kill("SIGTERM");
      await stopped;
    };
    return { address, stopped, stop };
  }
  throw new FellmarkError("no_server", "the server ended before it listened");
}
