import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { type LineWatch, watchLines } from "@fellmark/testkit";
import type { RunningService } from "../e2e/service.ts";

const workerMain = fileURLToPath(new URL("../../services/worker/dist/main.js", import.meta.url));

export interface RunningWorker {
  child: ChildProcess;
  /** Its log, a JSON line each. */
  log: LineWatch;
  /** Code and signal with which the process ends. */
  ended: Promise<unknown[]>;
}

/** A worker process on the folders of a service; resolves when it takes jobs. */
export async function startWorker({ dir }: RunningService, env: Record<string, string>): Promise<RunningWorker> {
  const folders = {
    FELLMARK_DATA_DIR: path.join(dir.path, "data"),
    FELLMARK_TERRAIN_DIR: path.join(dir.path, "terrain"),
  };
  const child = spawn(process.execPath, [workerMain], {
    env: { ...process.env, ...folders, ...env },
    stdio: ["ignore", "pipe", "inherit"],
  });
  const ended = once(child, "exit");
  const log = watchLines(child.stdout);
  await log.waitFor(/"ready for jobs"/, 30_000);
  return { child, log, ended };
}

/** Compute children of a process. Source of the fields: proc(5). */
export function computeChildrenOf(parent: number | undefined): number[] {
  const pids = readdirSync("/proc").filter((name) => /^\d+$/.test(name));
  return pids.map(Number).filter((pid) => {
    try {
      const owner = /^PPid:\t(\d+)$/m.exec(readFileSync(`/proc/${pid}/status`, "latin1"))?.[1];
      return Number(owner) === parent && readFileSync(`/proc/${pid}/cmdline`, "latin1").includes("child-main");
    } catch {
      // It has ended meanwhile.
      return false;
    }
  });
}
