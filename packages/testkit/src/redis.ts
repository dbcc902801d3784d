import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { findFreePort } from "./free-port.ts";
import { watchLines } from "./line-watch.ts";
import { createTempDir } from "./temp-dir.ts";

export interface RedisServer {
  url: string;
  /** Stops the server gracefully and removes its folder. */
  stop(): Promise<void>;
  /** Kills the server as a crash would (SIGKILL); its folder stays. */
  kill9(): Promise<void>;
  /** Starts it again on the same port and folder, after kill9. */
  restart(): Promise<void>;
}

/**
 * Starts a redis-server on a free port, ready for connections. It evicts nothing and syncs every write to its log, so it
 * keeps its data over kill9. Rejects with the server's output where it does not start.
 */
export async function spawnRedis(): Promise<RedisServer> {
  const port = await findFreePort();
  const folder = createTempDir("fellmark-redis-");
  let child = await startRedis(port, folder.path);
  return {
    url: `redis://127.0.0.1:${port}`,
    async stop() {
      await endProcess(child, "SIGTERM");
      folder.remove();
    },
    kill9: () => endProcess(child, "SIGKILL"),
    async restart() {
      child = await startRedis(port, folder.path);
    },
  };
}

async function startRedis(port: number, folder: string): Promise<ChildProcess> {
  const settings = {
    port: String(port),
    bind: "127.0.0.1",
    dir: folder,
    save: "",
    appendonly: "yes",
    appendfsync: "always",
    "maxmemory-policy": "noeviction",
  };
  const args = Object.entries(settings).flatMap(([name, value]) => [`--${name}`, value]);
  const child = spawn("redis-server", args, { stdio: ["ignore", "pipe", "inherit"] });
  await once(child, "spawn");
  await watchLines(child.stdout).waitFor(/Ready to accept connections/);
  return child;
}

async function endProcess(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exited = once(child, "exit");
  child.kill(signal);
  await exited;
}
