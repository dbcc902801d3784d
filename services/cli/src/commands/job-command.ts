import { readFile } from "node:fs/promises";
import { join } from "node:path";
import type { CallLimits, CoverTask } from "@fellmark/compute";
import type { CoverageRequest } from "@fellmark/network";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import {
  createDateOption,
  createTerrainOption,
  createTextOption,
  createThreadsOption,
  createUnitsOption,
  makeRequired,
  toDay,
} from "../input/options.ts";
import { findJobId, requireTerrain } from "../input/request-file.ts";
import { findRequestSlips } from "../input/request-slips.ts";
import { printText } from "../output/print.ts";
import { writeThroughStaging } from "../output/staged-folder.ts";
import type { Units } from "../output/units.ts";

const DEADLINE_MS = 3_600_000;

/** A command that does the work of one kind of job without a server. */
export interface JobCommand<Request, Summary> {
  name: string;
  description: string;
  /** Stands before the progress bar. */
  title: string;
  /** Names of the files that the command writes. */
  writes: string;
  /** Returns the request of a file, checked. */
  read(path: string): Promise<Request>;
  /** The coverage in a request, which slips are looked for in, and its JSON pointer. */
  coverage(request: Request): { request: CoverageRequest; at: string };
  run(task: Omit<CoverTask, "request"> & { request: Request }, limits: CallLimits): Promise<unknown>;
  /** Formats summary.json for a person. */
  format(summary: Summary, units: Units): string;
}

interface JobOptions {
  terrain: string;
  out: string;
  threads?: number;
  date?: string;
  units?: Units;
}

/** Adds `NAME REQUEST.json --terrain DIR --out DIR [--threads N]`: results are in the folder whole, or not at all. */
export function addJobCommand<Request extends Parameters<typeof findJobId>[0], Summary>(
  program: Command,
  context: CommandContext,
  job: JobCommand<Request, Summary>,
): void {
  const { name, description, writes } = job;
  program
    .command(name)
    .description(`${description}. Writes ${writes}`)
    .summary(description)
    .argument("<REQUEST.json>", "file with the request")
    .addOption(makeRequired(createTerrainOption()))
    .addOption(makeRequired(createTextOption("--out <DIR>", "folder for the results; made if absent")))
    .addOption(createThreadsOption())
    .addOption(createDateOption())
    .addOption(createUnitsOption())
    .addHelpText("after", `\nExample:\n  fellmark ${name} request.json --terrain terrain --out result`)
    .action((file: string, options: JobOptions) => runJob(file, options, context, job));
}

async function runJob<Request extends Parameters<typeof findJobId>[0], Summary>(
  file: string,
  { terrain, out, threads, units = "metric", date = toDay(Date.now()) }: JobOptions,
  context: CommandContext,
  { title, read, coverage, run, format }: JobCommand<Request, Summary>,
): Promise<void> {
  const { config, compute, startProgress } = context;
  const request = await read(resolvePath(config, file));
  const terrainDir = resolvePath(config, terrain);
  const outDir = resolvePath(config, out);
  const state = await compute.terrainState(terrainDir, { deadlineMs: DEADLINE_MS });
  requireTerrain(state, terrainDir);
  context.reportSlips(await findRequestSlips(coverage(request), terrainDir, compute));
  const terrainFingerprint = state.fingerprint;
  const jobId = findJobId(request, terrainFingerprint);
  await writeThroughStaging(outDir, startProgress(title), (staged, limits) => {
    const task = {
      jobId,
      request,
      date,
      terrainDir,
      terrainFingerprint,
      outDir: staged,
      ...(threads !== undefined && { threads }),
    };
    return run(task, { deadlineMs: DEADLINE_MS, ...limits });
  });
  const summary = JSON.parse(await readFile(join(outDir, "summary.json"), "utf8")) as Summary;
  printText(`${format(summary, units)}\n\nResults are in ${outDir}`);
}
