import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { freePort } from "./free-port.ts";
import { watchLines } from "./line-watch.ts";
import { tempDir } from "./temp-dir.ts";

export interface RedisServer {
  url: string;
  /** Ends the server in order and removes its folder. */
  stop(): Promise<void>;
  /** Kills the server as a crash would (SIGKILL); its folder stays. */
  kill9(): Promise<void>;
  /** Starts it again on the same port and folder, after kill9. */
  restart(): Promise<void>;
}

/**
 * A real redis-server of its own on a free port, ready for connections; nothing is evicted, every write is logged and
 * synced, so it comes back from kill9 with its data. Rejects with the server's output where it does not start.
 */
export async function spawnRedis(): Promise<RedisServer> {
  const port = await freePort();
  const folder = tempDir("fellmark-redis-");
  let child = await startRedis(port, folder.path);
  return {
    url: `redis://127.0.0.1:${port}`,
    async stop() {
      await end(child, "SIGTERM");
      folder.remove();
    },
    kill9: () => end(child, "SIGKILL"),
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

async function end(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const exited = once(child, "exit");
  child.kill(signal);
  await exited;
}
