import { mkdir, mkdtemp, readdir, readFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import type { CallLimits, Compute, CoverTask } from "@fellmark/compute";
import { parseWords, required, wholeNumber } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { type ProgressBar, startProgressBar } from "./progress-bar.ts";
import { idOf, requireTerrain } from "./request-file.ts";

const DEADLINE_MS = 3_600_000;

/** A command that does the work of one kind of job without a server. */
export interface JobCommand<Request, Summary> {
  /** Stands before the progress bar. */
  title: string;
  /** The request of a file, checked. */
  read(path: string): Promise<Request>;
  run(task: Omit<CoverTask, "request"> & { request: Request }, limits: CallLimits): Promise<unknown>;
  /** summary.json as a person reads it. */
  text(summary: Summary): string;
}

/** `NAME REQUEST.json --terrain DIR --out DIR [--threads N]`: results are in the folder whole, or not at all. */
export async function runJobCommand<Request extends Parameters<typeof idOf>[0], Summary>(
  words: string[],
  config: CliConfig,
  compute: Compute,
  { title, read, run, text }: JobCommand<Request, Summary>,
): Promise<void> {
  const { values, positionals } = parseWords(words, ["terrain", "out", "threads"]);
  const request = await read(pathFrom(config, required(positionals[0], "REQUEST.json")));
  const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
  const outDir = pathFrom(config, required(values.out, "--out"));
  const threads = wholeNumber(values.threads, "--threads", 1, 64);
  const terrain = await compute.terrainState(terrainDir, { deadlineMs: DEADLINE_MS });
  requireTerrain(terrain, terrainDir);
  const jobId = idOf(request, terrain.fingerprint);
  await throughStaging(title, outDir, (staged, onProgress) => {
    const task = { jobId, request, terrainDir, outDir: staged, ...(threads !== undefined && { threads }) };
    return run(task, { deadlineMs: DEADLINE_MS, onProgress });
  });
  const summary = JSON.parse(await readFile(join(outDir, "summary.json"), "utf8")) as Summary;
  process.stdout.write(`${text(summary)}\nwritten to ${outDir}\n`);
}

/** Has work write into a folder of its own under a progress bar; its files are put in place when all are there. */
export async function throughStaging(
  title: string,
  outDir: string,
  work: (staged: string, onProgress: ProgressBar["update"]) => Promise<unknown>,
): Promise<void> {
  await mkdir(outDir, { recursive: true });
  const staged = await mkdtemp(join(outDir, ".partial-"));
  const bar = startProgressBar(title);
  try {
    await work(staged, bar.update);
    await moveInto(staged, outDir);
  } finally {
    bar.stop();
    await rm(staged, { recursive: true, force: true });
  }
}

/** Puts the finished files in place, each at once. */
async function moveInto(staged: string, outDir: string): Promise<void> {
  for (const name of await readdir(staged)) {
    await rm(join(outDir, name), { recursive: true, force: true });
    await rename(join(staged, name), join(outDir, name));
  }
}
