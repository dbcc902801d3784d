import { buildAdvice, buildAdviceProblem, type Engine, MODEL_VERSION } from "@fellmark/coverage";
import type { ResultFile } from "@fellmark/ledger";
import { findSectorTraffic } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { listAdviceWarnings } from "./advice-warnings.ts";
import type { AdviseTask } from "./job-tasks.ts";
import { runOverPinnedTerrain } from "./pinned-terrain.ts";
import type { ProgressListener } from "./progress-listener.ts";
import { openResultFolder } from "./result-folder.ts";

/** Share of the progress that belongs to losses and levels; the rest is the search. */
const LEVELS_SHARE = 0.8;

/** Advises channels for the sectors of a request and writes summary.json into the task's folder. Returns the files that it wrote. */
export function runAdvise(engine: Engine, task: AdviseTask, onProgress: ProgressListener): Promise<ResultFile[]> {
  return runOverPinnedTerrain(task, (catalogue) => computeAdvice(catalogue, engine, task, onProgress));
}

async function computeAdvice(
  catalogue: TerrainCatalogue,
  engine: Engine,
  task: AdviseTask,
  onProgress: ProgressListener,
): Promise<ResultFile[]> {
  const { base, channels, sectors, seed, growthPerMonth } = task.request;
  const watch = { onProgress: (share: number, stage: string) => onProgress(LEVELS_SHARE * share, stage) };
  const choice = sectors === undefined ? { channels } : { channels, sectors };
  const problem = await buildAdviceProblem(engine, catalogue, base, choice, watch);
  onProgress(LEVELS_SHARE, "channels");
  const traffic = base.sectors.map((sector) =>
    growthPerMonth === undefined ? findSectorTraffic(base, sector) : { ...base.traffic, growthPerMonth },
  );
  const advice = buildAdvice(problem, base.plans, { seed, traffic });
  const summary = {
    version: 1,
    id: task.jobId,
    name: base.name,
    model: MODEL_VERSION,
    terrain: { fingerprint: catalogue.fingerprint, refused: catalogue.refused },
    seed,
    traffic: { ...base.traffic, ...(growthPerMonth !== undefined && { growthPerMonth }) },
    ...advice,
    warnings: listAdviceWarnings(base, problem, advice),
  };
  const result = openResultFolder(task.outDir);
  await result.write("summary.json", `${JSON.stringify(summary, roundNumbers, 1)}\n`);
  onProgress(1, "done");
  return result.files();
}

/** Numbers to the thousandth. */
function roundNumbers(_key: string, value: unknown): unknown {
  return typeof value === "number" ? Math.round(value * 1000) / 1000 : value;
}
