import {
  CAUTION,
  type Comparison,
  type CoveredArea,
  compareCoverages,
  type Engine,
  MODEL_VERSION,
} from "@fellmark/coverage";
import type { LatticeWindow } from "@fellmark/geodesy";
import type { ResultFile } from "@fellmark/ledger";
import type { TerrainCatalogue } from "@fellmark/terrain";
import {
  buildAreaMask,
  drawChange,
  drawMap,
  type MapOptions,
  markSurveyCells,
  type PageOptions,
  traceChange,
} from "@fellmark/tiers";
import { toAreaShapes } from "./area-shapes.ts";
import { describeResult, toFactsText } from "./describe-result.ts";
import type { CompareTask } from "./job-tasks.ts";
import { runOverPinnedTerrain } from "./pinned-terrain.ts";
import type { ProgressListener } from "./progress-listener.ts";
import { readRelief } from "./relief.ts";
import { openResultFolder } from "./result-folder.ts";
import { listWarnings } from "./warnings.ts";

/** Share of the progress that belongs to the computation; the rest is writing. */
const COMPUTED_SHARE = 0.9;

/**
 * Compares a coverage with the same after changes and writes summary.json, change.geojson and the pictures change.png,
 * before.png and after.png into the task's folder. Returns the files that it wrote.
 */
export function runCompare(engine: Engine, task: CompareTask, onProgress: ProgressListener): Promise<ResultFile[]> {
  return runOverPinnedTerrain(task, (catalogue) => computeComparison(catalogue, engine, task, onProgress));
}

async function computeComparison(
  catalogue: TerrainCatalogue,
  engine: Engine,
  task: CompareTask,
  onProgress: ProgressListener,
): Promise<ResultFile[]> {
  const { request } = task;
  const watch = {
    maskArea: (area: LatticeWindow) => buildAreaMask(area, toAreaShapes(request.base)),
    onProgress: (share: number, stage: string) => onProgress(COMPUTED_SHARE * share, stage),
  };
  const comparison = await compareCoverages(engine, catalogue, request, watch);
  const { window, classes, before, after, report } = comparison;
  const result = openResultFolder(task.outDir);
  const facts = describeResult(task, after.request, catalogue);
  const { type, ...changes } = traceChange(window, classes);
  await result.write("change.geojson", JSON.stringify({ type, version: 1, ...facts, ...changes }));
  const heightsAmslM = await readRelief(catalogue, request.base, window);
  await result.write(
    "change.png",
    await drawChange({
      ...buildPage(comparison, after, { heightsAmslM, facts: toFactsText(facts), title: "change" }),
      classes,
    }),
  );
  await result.write(
    "before.png",
    await drawMap(buildMap(comparison, before, { heightsAmslM, facts: toFactsText(facts), title: "before" })),
  );
  await result.write(
    "after.png",
    await drawMap(buildMap(comparison, after, { heightsAmslM, facts: toFactsText(facts), title: "after" })),
  );
  onProgress(1, "writing");
  const summary = {
    version: 1,
    id: task.jobId,
    name: request.base.name,
    model: MODEL_VERSION,
    terrain: { fingerprint: catalogue.fingerprint, refused: catalogue.refused },
    lattice: window,
    changes: request.changes,
    traffic: request.base.traffic,
    obstacleCapDb: { before: before.request.model.obstacleCapDb, after: after.request.model.obstacleCapDb },
    ...report,
    warnings: listWarnings(after.request, catalogue, after.coverage),
  };
  await result.write("summary.json", `${JSON.stringify(summary, roundNumbers, 1)}\n`);
  return result.files();
}

/** Numbers to the thousandth. */
function roundNumbers(_key: string, value: unknown): unknown {
  return typeof value === "number" ? Math.round(value * 1000) / 1000 : value;
}

interface PageWords {
  heightsAmslM: Float32Array;
  facts: string;
  title: string;
}

function buildPage(
  { window }: Comparison,
  { request, cells }: CoveredArea,
  { title, ...words }: PageWords,
): PageOptions {
  const used = new Set(request.sectors.map(({ site }) => site));
  return {
    window,
    classes: cells.tier,
    ...words,
    masts: request.sites.filter(({ id }) => used.has(id)),
    sectors: request.sectors,
    area: toAreaShapes(request),
    title: `${request.name}: ${title}`,
    caution: CAUTION,
  };
}

function buildMap(comparison: Comparison, area: CoveredArea, words: PageWords): MapOptions {
  const { plans } = area.request;
  const classes = markSurveyCells(area.cells.tier, area.coverage.isClutterUnknown, plans.length);
  return { ...buildPage(comparison, area, words), classes, plans };
}
