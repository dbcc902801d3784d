import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { CAUTION, type Coverage, computeCoverage, type Engine, type StripSink } from "@fellmark/coverage";
import { type CoverageRequest, windowOf } from "@fellmark/network";
import { openCatalogue, type TerrainCatalogue } from "@fellmark/terrain";
import { drawMap, TRACE_DEFAULTS, traceTiers } from "@fellmark/tiers";
import type { ProgressListener } from "./child-calls.ts";
import type { CoverTask } from "./compute.ts";
import { createRasterSet } from "./raster-layers.ts";
import { readRelief } from "./relief.ts";
import { summaryOf } from "./summary.ts";

/** Share of the progress that belongs to the computation; the rest is writing. */
const COMPUTED_SHARE = 0.9;

/** Computes a coverage and writes everything that was asked for, then summary.json, into the task's folder. */
export async function runCover(engine: Engine, task: CoverTask, onProgress: ProgressListener): Promise<void> {
  const { request, outDir } = task;
  const catalogue = await openCatalogue(task.terrainDir);
  const window = windowOf(request);
  const classes = new Uint8Array(window.width * window.height);
  const isShared = request.sectors.length + request.emitters.length > 1;
  const rasters = request.outputs.includes("rasters") ? await createRasterSet(outDir, window, isShared) : undefined;
  const sink: StripSink = async (fromRow, rows, strip) => {
    classes.set(strip.tier.subarray(0, rows * window.width), fromRow * window.width);
    await rasters?.write(fromRow, rows, strip);
  };
  const files: string[] = [];
  let coverage: Coverage;
  try {
    const watch = { onProgress: (share: number, stage: string) => onProgress(COMPUTED_SHARE * share, stage) };
    coverage = await computeCoverage(engine, catalogue, request, sink, watch);
    if (rasters) files.push(...(await rasters.close()));
  } finally {
    await rasters?.abort();
  }
  if (request.outputs.includes("tiers")) files.push(await writeTiers(outDir, request, coverage, classes));
  if (request.outputs.includes("png")) files.push(await writeMap(outDir, request, catalogue, coverage, classes));
  onProgress(1, "writing");
  const summary = await summaryOf({ jobId: task.jobId, request, catalogue, coverage, classes, outDir, files });
  await writeFile(join(outDir, "summary.json"), `${JSON.stringify(summary, null, 1)}\n`);
}

async function writeTiers(
  outDir: string,
  request: CoverageRequest,
  { window }: Coverage,
  classes: Uint8Array,
): Promise<string> {
  const { collection } = traceTiers(window, classes, {
    plans: request.plans,
    ...TRACE_DEFAULTS,
  });
  await writeFile(join(outDir, "tiers.geojson"), JSON.stringify(collection));
  return "tiers.geojson";
}

async function writeMap(
  outDir: string,
  request: CoverageRequest,
  catalogue: TerrainCatalogue,
  { window }: Coverage,
  classes: Uint8Array,
): Promise<string> {
  const picture = await drawMap({
    window,
    classes,
    heightsAmslM: await readRelief(catalogue, request, window),
    plans: request.plans,
    masts: request.sites,
    sectors: request.sectors,
    title: request.name,
    caution: CAUTION,
  });
  await writeFile(join(outDir, "map.png"), picture);
  return "map.png";
}
