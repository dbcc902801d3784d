import { mkdir, mkdtemp, readdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import type { CallLimits } from "@fellmark/compute";
import { FellmarkError } from "@fellmark/units";
import type { ProgressBar } from "./progress-bar.ts";

const SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

export type StagedWork = (staged: string, limits: Required<Omit<CallLimits, "deadlineMs">>) => Promise<unknown>;

/**
 * Lets work write into a folder of its own below `outDir` and puts its files in place when all are there.
 * Throws FellmarkError `cancelled` where a signal stops the work; then nothing is left behind.
 */
export async function writeThroughStaging(outDir: string, bar: ProgressBar, work: StagedWork): Promise<void> {
  const stop = new AbortController();
  const abort = () => stop.abort();
  for (const signal of SIGNALS) process.on(signal, abort);
  let staged: string | undefined;
  try {
    await mkdir(outDir, { recursive: true });
    staged = await mkdtemp(join(outDir, ".partial-"));
    await work(staged, { signal: stop.signal, onProgress: bar.update });
    await moveInto(staged, outDir);
  } catch (error) {
    if (stop.signal.aborted) throw new FellmarkError("cancelled", `stopped; nothing was written to ${outDir}`);
    throw error;
  } finally {
    for (const signal of SIGNALS) process.off(signal, abort);
    bar.stop();
    if (staged !== undefined) await rm(staged, { recursive: true, force: true });
  }
}

/** Puts the finished files in place, each at once. */
async function moveInto(staged: string, outDir: string): Promise<void> {
  for (const name of await readdir(staged)) {
    await rm(join(outDir, name), { recursive: true, force: true });
    await rename(join(staged, name), join(outDir, name));
  }
}
