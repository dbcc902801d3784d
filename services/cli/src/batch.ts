import { rm, rmdir } from "node:fs/promises";
import { join } from "node:path";
import type { Compute } from "@fellmark/compute";
import { type BatchRequest, DEFAULT_RADIUS_M, parseBatchRequest } from "@fellmark/network";
import { openPremisesList, readWholeText } from "@fellmark/premises";
import { numberWithin, parseWords, required, wholeNumber } from "./arguments.ts";
import { type CliConfig, pathFrom } from "./config.ts";
import { throughStaging } from "./job-command.ts";
import { premisesDir } from "./premises.ts";
import { idOf, isNetwork, readJson, requireTerrain, TENANT } from "./request-file.ts";

const DEADLINE_MS = 86_400_000;

/** Leads without a place that the terminal shows; summary.json has the first thousand. */
const SHOWN_PROBLEMS = 20;

/**
 * `batch LEADS --request REQUEST.json --terrain DIR --out DIR`: the answers to a CSV or GeoJSON file of leads.
 * REQUEST.json is a coverage request or a network. Stopped and called again it goes on where it was.
 */
export async function batch(words: string[], config: CliConfig, compute: Compute): Promise<void> {
  const names = ["request", "terrain", "out", "map", "crs", "plan", "height", "radius", "db"];
  const { values, positionals } = parseWords(words, names);
  const terrainDir = pathFrom(config, required(values.terrain, "--terrain"));
  const outDir = pathFrom(config, required(values.out, "--out"));
  const lists = premisesDir(values.db, config);
  const request = parseBatchRequest({
    version: 1,
    source: sourceOf(await readJson(pathFrom(config, required(values.request, "--request"))), values.radius),
    leads: {
      text: await readWholeText(pathFrom(config, required(positionals[0], "LEADS"))),
      map: values.map ?? "",
      crs: wholeNumber(values.crs, "--crs", 1, 1_000_000),
    },
    plan: values.plan,
    heightAglM: numberWithin(values.height, "--height", 0, 100),
    premises: await versionOf(lists),
  });
  const terrain = await compute.terrainState(terrainDir, { deadlineMs: DEADLINE_MS });
  requireTerrain(terrain, terrainDir);
  const jobId = idOf(request, terrain.fingerprint);
  const unfinished = join(outDir, ".unfinished");
  const folders = { premisesDir: lists, workDir: join(unfinished, jobId) };
  await throughStaging("batch", outDir, (staged, onProgress) => {
    const task = { jobId, request, tenant: TENANT, terrainDir, outDir: staged, ...folders };
    return compute.batch(task, { deadlineMs: DEADLINE_MS, onProgress });
  });
  await rm(folders.workDir, { recursive: true });
  await rmdir(unfinished).catch(() => undefined);
  const summary = (await readJson(join(outDir, "summary.json"))) as Summary;
  process.stdout.write(`${summaryText(summary)}\nwritten to ${outDir}\n`);
}

function sourceOf(document: unknown, radius: string | undefined): unknown {
  if (!isNetwork(document)) return { request: document };
  return { document, radiusM: numberWithin(radius, "--radius", 100, 60_000) ?? DEFAULT_RADIUS_M };
}

async function versionOf(lists: string): Promise<BatchRequest["premises"]> {
  const list = await openPremisesList(lists, TENANT);
  list?.close();
  return list?.version ?? null;
}

interface Summary {
  leads: number;
  byVerdict: Record<string, number>;
  byPlan: Record<string, number>;
  byProblem: Record<string, number>;
  problems: { row: number; problem: string; detail: string }[];
  caution: string;
}

function summaryText({ leads, byVerdict, byPlan, byProblem, problems, caution }: Summary): string {
  const counted = (counts: Record<string, number>) =>
    Object.entries(counts)
      .map(([name, count]) => `${count} ${name}`)
      .join(", ") || "none";
  return [
    `${leads} leads: ${counted(byVerdict)}`,
    `plans that hold: ${counted(byPlan)}`,
    ...(problems.length > 0 ? [`places not known: ${counted(byProblem)}`] : []),
    ...problems.slice(0, SHOWN_PROBLEMS).map(({ row, problem, detail }) => `  row ${row}: ${problem}: ${detail}`),
    caution,
  ].join("\n");
}
