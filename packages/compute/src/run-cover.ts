import { CAUTION, type Coverage, computeCoverage, type Engine, type StripSink } from "@fellmark/coverage";
import type { LatticeWindow } from "@fellmark/geodesy";
import { encodeRaster, TIER_CLASSES_FILE } from "@fellmark/layers";
import type { ResultFile } from "@fellmark/ledger";
import { type CoverageRequest, findWindow } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { buildAreaMask, drawMap, markSurveyCells, markWaterCells, TRACE_DEFAULTS, traceTiers } from "@fellmark/tiers";
import { toAreaShapes } from "./area-shapes.ts";
import { describeResult, type ResultFacts, toFactsText } from "./describe-result.ts";
import type { CoverTask } from "./job-tasks.ts";
import { runOverPinnedTerrain } from "./pinned-terrain.ts";
import type { ProgressListener } from "./progress-listener.ts";
import { createRasterSet } from "./raster-layers.ts";
import { readRelief } from "./relief.ts";
import { openResultFolder, type ResultFolder } from "./result-folder.ts";
import { buildSummary, computeSharesByClass } from "./summary.ts";

/** Share of the progress that belongs to the computation; the rest is writing. */
const COMPUTED_SHARE = 0.9;

/**
 * Computes a coverage and writes everything that was asked for, then summary.json, into the task's folder.
 * Returns the files that it wrote.
 */
export function runCover(engine: Engine, task: CoverTask, onProgress: ProgressListener): Promise<ResultFile[]> {
  return runOverPinnedTerrain(task, (catalogue) => computeCover(catalogue, engine, task, onProgress));
}

async function computeCover(
  catalogue: TerrainCatalogue,
  engine: Engine,
  task: CoverTask,
  onProgress: ProgressListener,
): Promise<ResultFile[]> {
  const { request, outDir } = task;
  const window = findWindow(request);
  const classes = new Uint8Array(window.width * window.height);
  const facts = describeResult(task, request, catalogue);
  const isShared = request.sectors.length + request.emitters.length > 1;
  const rasters = request.outputs.includes("rasters")
    ? await createRasterSet(outDir, window, { isShared, facts })
    : undefined;
  const sink: StripSink = async (fromRow, rows, strip) => {
    classes.set(strip.tier.subarray(0, rows * window.width), fromRow * window.width);
    await rasters?.write(fromRow, rows, strip);
  };
  const result = openResultFolder(outDir);
  let coverage: Coverage;
  try {
    const watch = {
      maskArea: (area: LatticeWindow) => buildAreaMask(area, toAreaShapes(request)),
      onProgress: (share: number, stage: string) => onProgress(COMPUTED_SHARE * share, stage),
    };
    coverage = await computeCoverage(engine, catalogue, request, sink, watch);
    for (const name of (await rasters?.close()) ?? []) await result.record(name);
  } finally {
    await rasters?.abort();
  }
  const published = markSurveyCells(classes, coverage.isClutterUnknown, request.plans.length);
  const area = { request, window, classes: published, shown: markWaterCells(published, coverage.isWater) };
  if (request.outputs.includes("tiers")) await writeTiers(result, facts, area);
  if (request.outputs.includes("png")) await writeMap(result, facts, area, catalogue);
  onProgress(1, "writing");
  // The service publishes layers from the classes, but hands the file itself to nobody.
  const files = result.files().filter(({ name }) => name !== TIER_CLASSES_FILE);
  const summary = buildSummary({ facts, request, catalogue, coverage, classes: area.shown, files });
  await result.write("summary.json", `${JSON.stringify(summary, null, 1)}\n`);
  return result.files();
}

/** The classes of a request's area, survey-first told from plans; those shown tell water from other cells without service. */
interface PublishedArea {
  request: CoverageRequest;
  window: LatticeWindow;
  classes: Uint8Array;
  shown: Uint8Array;
}

/** Facts and shares stand on the collection as foreign members. Source: RFC 7946, section 6.1. */
async function writeTiers(result: ResultFolder, facts: ResultFacts, area: PublishedArea): Promise<void> {
  const { plans } = area.request;
  const { collection } = traceTiers(area.window, area.classes, { plans, ...TRACE_DEFAULTS });
  const { type, ...rest } = collection;
  const shares = computeSharesByClass(plans, { window: area.window, classes: area.shown });
  await result.write(TIER_CLASSES_FILE, await encodeRaster({ plans, levels: [area] }));
  await result.write("tiers.geojson", JSON.stringify({ type, version: 1, ...facts, shares, ...rest }));
}

async function writeMap(
  result: ResultFolder,
  facts: ResultFacts,
  { request, window, shown }: PublishedArea,
  catalogue: TerrainCatalogue,
): Promise<void> {
  const picture = await drawMap({
    window,
    classes: shown,
    heightsAmslM: await readRelief(catalogue, request, window),
    plans: request.plans,
    masts: request.sites,
    sectors: request.sectors,
    area: toAreaShapes(request),
    title: request.name,
    caution: CAUTION,
    facts: toFactsText(facts),
  });
  await result.write("map.png", picture);
}
