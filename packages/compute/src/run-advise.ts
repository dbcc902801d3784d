import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import {
  type Advice,
  type AdviceProblem,
  adviceOf,
  adviceProblem,
  type Engine,
  MODEL_VERSION,
} from "@fellmark/coverage";
import type { AdviceRequest } from "@fellmark/network";
import { openCatalogue } from "@fellmark/terrain";
import type { ProgressListener } from "./child-calls.ts";
import type { AdviseTask } from "./compute.ts";
import type { Warning } from "./warnings.ts";

/** Share of the progress that belongs to losses and levels; the rest is the search. */
const LEVELS_SHARE = 0.8;

/** Advises channels for the sectors of a request and writes summary.json into the task's folder. */
export async function runAdvise(engine: Engine, task: AdviseTask, onProgress: ProgressListener): Promise<void> {
  const { request } = task;
  const { base, channels, sectors, seed, growthPerMonth } = request;
  const catalogue = await openCatalogue(task.terrainDir);
  const watch = { onProgress: (share: number, stage: string) => onProgress(LEVELS_SHARE * share, stage) };
  const choice = sectors === undefined ? { channels } : { channels, sectors };
  const problem = await adviceProblem(engine, catalogue, base, choice, watch);
  onProgress(LEVELS_SHARE, "channels");
  const growth = growthPerMonth === undefined ? {} : { growthPerMonth };
  const advice = adviceOf(problem, base.plans, { seed, ...growth });
  const summary = {
    version: 1,
    id: task.jobId,
    name: base.name,
    model: MODEL_VERSION,
    terrain: { fingerprint: catalogue.fingerprint, refused: catalogue.refused },
    seed,
    growthPerMonth: growthPerMonth ?? null,
    ...advice,
    warnings: adviceWarnings(request, problem, advice),
  };
  await writeFile(join(task.outDir, "summary.json"), `${JSON.stringify(summary, rounded, 1)}\n`);
  onProgress(1, "done");
}

/** Numbers to the thousandth. */
function rounded(_key: string, value: unknown): unknown {
  return typeof value === "number" ? Math.round(value * 1000) / 1000 : value;
}

/** What makes the advice less than it may seem. */
function adviceWarnings({ base }: AdviceRequest, problem: AdviceProblem, advice: Advice): Warning[] {
  const warnings: Warning[] = [];
  const { clutter } = base.model;
  if (!("class" in clutter) || clutter.class === "unknown") {
    const detail = "what stands on the ground is not known: levels may be far lower than advised on";
    warnings.push({ code: "clutter_unknown", pointer: "/base/model/clutter", detail });
  }
  if (advice.isCutShort) {
    const detail = "the search ended at its limit: a better plan may exist";
    warnings.push({ code: "search_cut_short", pointer: "/base/sectors", detail });
  }
  for (const [index, sector] of advice.sectors.entries()) {
    const pointer = `/base/sectors/${index}`;
    const { places, chosen } = sector;
    const known = base.subscribers.filter((subscriber) => subscriber.sector === sector.id).length;
    if (known > places) {
      const detail = `${known - places} of ${known} subscribers of "${sector.id}" lie where it is not heard`;
      warnings.push({ code: "subscribers_not_reached", pointer: "/base/subscribers", detail });
    }
    if (places === 0) warnings.push({ code: "serves_nobody", pointer, detail: `"${sector.id}" serves no place` });
    if (problem.sectors[index].baseOnUp.some((share) => share > 0)) {
      const detail = `bases of other timing groups send while "${sector.id}" listens`;
      warnings.push({ code: "not_synchronised", pointer: `${pointer}/timingGroup`, detail });
    }
    if (chosen.isRadar && chosen.fallback === null) {
      const detail = `"${sector.id}" would be on a radar channel with no clear channel to go to when a radar is found`;
      warnings.push({ code: "no_fallback", pointer: `${pointer}/channel`, detail });
    }
  }
  return warnings;
}
