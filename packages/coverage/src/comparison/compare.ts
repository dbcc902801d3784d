import type { LatticeWindow, LonLat } from "@fellmark/geodesy";
import { applyChanges, type ComparisonRequest, type CoverageRequest, findZoom, type SiteSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { CoverageWatch } from "../coverage.ts";
import { createLevelStore } from "../level-store.ts";
import type { Engine } from "../loss/engine.ts";
import type { LossCache } from "../loss/loss-cache.ts";
import type { DiscLoss } from "../loss/mast-loss.ts";
import { classifyChanges } from "./change-class.ts";
import { buildReport, buildStepReport, type ComparisonReport, type StepReport } from "./comparison-report.ts";
import { type CoveredArea, coverCells } from "./covered-cells.ts";

export interface Comparison {
  window: LatticeWindow;
  before: CoveredArea;
  after: CoveredArea;
  /** CHANGE_CLASS of every cell of the window. */
  classes: Uint8Array;
  report: ComparisonReport;
}

/** Levels that are kept between the two coverages, at most. */
const LEVELS_BYTES = 400 * 2 ** 20;

/** A coverage before and after changes, over one window. Throws as computeCoverage and applyChanges. */
export async function compareCoverages(
  engine: Engine,
  catalogue: TerrainCatalogue,
  comparison: Pick<ComparisonRequest, "base" | "changes" | "premises" | "steps">,
  watch: CoverageWatch = {},
): Promise<Comparison> {
  const { changes, premises = [] } = comparison;
  const requests = shareWindow(listStates(comparison));
  const points = premises.map(([lon, lat]) => ({ lon, lat }));
  const levels = createLevelStore(LEVELS_BYTES);
  const remembering = { ...engine, losses: engine.losses ?? createMemoryLossCache() };
  const areas: CoveredArea[] = [];
  const steps: StepReport[] = [];
  for (const [index, request] of requests.entries()) {
    const onProgress = (share: number, stage: string) => watch.onProgress?.((index + share) / requests.length, stage);
    const area = await coverCells(remembering, catalogue, request, { ...watch, levels, onProgress });
    const last = areas.at(-1);
    if (last && comparison.steps)
      steps.push({ change: index - 1, kind: changes[index - 1].kind, ...buildStepReport(last, area, points) });
    // Of the states between, only the last is still needed.
    areas.splice(1, 1);
    areas.push(area);
  }
  const [before, after] = areas;
  const { window } = before.coverage;
  const classes = classifyChanges(before.cells.tier, after.cells.tier);
  const report = { ...buildReport(before, after, points), steps: comparison.steps ? steps : null };
  return { window, before, after, classes, report };
}

/** The base, the states between where the steps are asked for, and the base with all changes. */
function listStates({ base, changes, steps }: Pick<ComparisonRequest, "base" | "changes" | "steps">) {
  const first = steps ? 1 : changes.length;
  const counts = Array.from({ length: changes.length + 1 - first }, (_, index) => first + index);
  return [base, ...counts.map((count) => applyChanges(base, changes.slice(0, count)))];
}

/** Gives all coverages one zoom and one window: that of the places of all their masts. */
function shareWindow(requests: readonly CoverageRequest[]): CoverageRequest[] {
  const { cellM: _replaced, ...area } = requests[0].area;
  const zoom = findZoom(requests[0]);
  const places = requests.flatMap(({ sites }) => sites);
  return requests.map((request) => {
    const elsewhere = places.filter((place) => request.sites.every((site) => !isSamePlace(site, place)));
    const bare = elsewhere.map((place, index): SiteSpec => ({ ...place, id: `${place.id} before or after ${index}` }));
    return { ...request, area: { ...area, zoom }, sites: [...request.sites, ...bare] };
  });
}

function isSamePlace(first: LonLat, second: LonLat): boolean {
  return first.lon === second.lon && first.lat === second.lat;
}

/** Keeps the losses of the masts between the two coverages where there is no cache on disk. */
function createMemoryLossCache(): LossCache {
  const known = new Map<string, DiscLoss>();
  return {
    read: async (key) => known.get(key),
    write: async (key, loss) => {
      known.set(key, loss);
    },
  };
}
