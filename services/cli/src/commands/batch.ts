import { rm, rmdir } from "node:fs/promises";
import { join } from "node:path";
import { type BatchRequest, DEFAULT_RADIUS_M, parseBatchRequest } from "@fellmark/network";
import { openPremisesList, readWholeText } from "@fellmark/premises";
import type { Command } from "commander";
import type { CommandContext } from "../command-context.ts";
import { resolvePath } from "../config.ts";
import { createColumnOptions, createDataOption, resolvePremisesDir } from "../input/column-options.ts";
import {
  createDateOption,
  createHeightOption,
  createRadiusOption,
  createTerrainOption,
  createTextOption,
  makeRequired,
  toDay,
} from "../input/options.ts";
import { findJobId, isNetwork, readJson, requireTerrain, TENANT } from "../input/request-file.ts";
import { type BatchSummary, formatBatch } from "../output/batch-text.ts";
import { printText } from "../output/print.ts";
import { writeThroughStaging } from "../output/staged-folder.ts";

const DEADLINE_MS = 86_400_000;

interface BatchOptions {
  request: string;
  terrain: string;
  out: string;
  map?: string;
  crs?: number;
  plan?: string;
  height?: number;
  radius?: number;
  db?: string;
  date?: string;
}

const EXAMPLE = `
Stopped and called again, the command goes on where it was.

Example:
  fellmark batch leads.csv --request request.json --terrain terrain --out answers --map id=ref,address=street`;

/** Adds `batch`: the answers to a file of leads. */
export function addBatchCommand(program: Command, context: CommandContext): void {
  const [map, crs] = createColumnOptions();
  program
    .command("batch")
    .summary("Answer every lead of a CSV or GeoJSON file")
    .description("Answer every lead of a file. Writes answers.csv, answers.geojson and summary.json")
    .argument("<LEADS>", "CSV or GeoJSON file with an address or a place a row")
    .addOption(makeRequired(createTextOption("--request <FILE>", "JSON of a coverage request or of a network")))
    .addOption(makeRequired(createTerrainOption()))
    .addOption(makeRequired(createTextOption("--out <DIR>", "folder for the results; made if absent")))
    .addOption(map)
    .addOption(crs)
    .addOption(createTextOption("--plan <ID>", "plan that the verdicts are about (default: the cheapest)"))
    .addOption(createHeightOption(0, 100))
    .addOption(createRadiusOption())
    .addOption(createDateOption())
    .addOption(createDataOption("data folder whose premises list finds addresses"))
    .addHelpText("after", EXAMPLE)
    .action((file: string, options: BatchOptions) => runBatch(file, options, context));
}

async function runBatch(file: string, options: BatchOptions, context: CommandContext): Promise<void> {
  const { config, compute, startProgress } = context;
  const terrainDir = resolvePath(config, options.terrain);
  const outDir = resolvePath(config, options.out);
  const premisesDir = resolvePremisesDir(config, options.db);
  const request = await readBatchRequest(file, options, context);
  const terrain = await compute.terrainState(terrainDir, { deadlineMs: DEADLINE_MS });
  requireTerrain(terrain, terrainDir);
  const terrainFingerprint = terrain.fingerprint;
  const jobId = findJobId(request, terrainFingerprint);
  const unfinished = join(outDir, ".unfinished");
  const folders = { premisesDir, workDir: join(unfinished, jobId) };
  await writeThroughStaging(outDir, startProgress("batch"), (staged, limits) => {
    const date = options.date ?? toDay(Date.now());
    const task = { jobId, request, date, tenant: TENANT, terrainDir, terrainFingerprint, outDir: staged };
    return compute.batch({ ...task, ...folders }, { deadlineMs: DEADLINE_MS, ...limits });
  });
  await rm(folders.workDir, { recursive: true });
  await rmdir(unfinished).catch(() => undefined);
  const summary = (await readJson(join(outDir, "summary.json"))) as BatchSummary;
  printText(`${formatBatch(summary)}\n\nResults are in ${outDir}`);
}

async function readBatchRequest(
  file: string,
  { request, map = "", crs, plan, height, radius, db }: BatchOptions,
  { config }: CommandContext,
): Promise<BatchRequest> {
  const document = await readJson(resolvePath(config, request));
  return parseBatchRequest({
    version: 1,
    source: isNetwork(document) ? { document, radiusM: radius ?? DEFAULT_RADIUS_M } : { request: document },
    leads: { text: await readWholeText(resolvePath(config, file)), map, crs },
    plan,
    heightAglM: height,
    premises: await findListVersion(resolvePremisesDir(config, db)),
  });
}

async function findListVersion(premisesDir: string): Promise<BatchRequest["premises"]> {
  const list = await openPremisesList(premisesDir, TENANT);
  list?.close();
  return list?.version ?? null;
}
