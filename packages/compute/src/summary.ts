import type { Coverage } from "@fellmark/coverage";
import { computeCellSizeM, type LatticeWindow } from "@fellmark/geodesy";
import type { ResultFile } from "@fellmark/ledger";
import type { CoverageRequest, PlanSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { computeTierAreas, TIER_CLASS, type TierArea } from "@fellmark/tiers";
import { toDb } from "@fellmark/units";
import type { ResultFacts } from "./describe-result.ts";
import { listWarnings } from "./warnings.ts";

export interface SummaryInput {
  facts: ResultFacts;
  request: CoverageRequest;
  catalogue: TerrainCatalogue;
  coverage: Coverage;
  /** The tier raster of the whole window, survey-first told from plans. */
  classes: Uint8Array;
  /** Files written so far. */
  files: ResultFile[];
}

/** The content of summary.json. Nothing in it depends on the clock: same inputs, same bytes. */
export function buildSummary(input: SummaryInput) {
  const { facts, request, catalogue, coverage, classes } = input;
  const { window } = coverage;
  const areas = computeTierAreas(window, classes);
  const total = areas.reduce((sum, { cells }, tier) => sum + (tier === TIER_CLASS.outside ? 0 : cells), 0);
  const notKnown = areas[TIER_CLASS.notKnown];
  return {
    version: 1,
    id: facts.id,
    name: facts.name,
    date: facts.date,
    network: facts.network,
    model: facts.model,
    method: facts.method,
    confidence: facts.confidence,
    availability: facts.availability,
    cpeHeightAglM: facts.cpeHeightAglM,
    terrain: { fingerprint: catalogue.fingerprint, files: listTerrainFiles(coverage), refused: catalogue.refused },
    lattice: { ...window, cellM: roundToThousandth(computeCellSizeM(request.sites[0].lat, window.zoom)) },
    cells: { area: total, known: total - notKnown.cells, notKnown: notKnown.cells },
    notKnownShare: notKnown.share,
    clutterNotKnownShare: computeClutterNotKnownShare(coverage, total),
    tiers: request.plans.map(({ id, downMbps, upMbps }, index) => ({
      plan: id,
      downMbps,
      upMbps,
      ...toArea(sumAreas([areas[index + 1], areas[request.plans.length + index + 1]])),
      surveyFirst: toArea(areas[request.plans.length + index + 1]),
    })),
    surveyFirst: toArea(sumAreas(areas.slice(request.plans.length + 1, 2 * request.plans.length + 1))),
    notKnown: toArea(notKnown),
    noService: {
      ...toArea(sumAreas([areas[TIER_CLASS.noService], areas[TIER_CLASS.water]])),
      upOnlyFails: coverage.counts.upOnlyFails,
      water: coverage.isWater === null ? null : toArea(areas[TIER_CLASS.water]),
    },
    sectors: coverage.links.map((_, index) => buildSectorSummary(coverage, index)),
    files: input.files,
    warnings: listWarnings(request, catalogue, coverage),
  };
}

/** Shares of the area by class, all but what is outside: together they are 1. */
export function computeSharesByClass(
  plans: readonly PlanSpec[],
  { window, classes }: { window: LatticeWindow; classes: Uint8Array },
) {
  const areas = computeTierAreas(window, classes);
  return {
    plans: plans.map(({ id }, index) => ({ plan: id, share: areas[index + 1].share })),
    surveyFirst: plans.map(({ id }, index) => ({ plan: id, share: areas[plans.length + index + 1].share })),
    noService: areas[TIER_CLASS.noService].share + areas[TIER_CLASS.water].share,
    water: areas[TIER_CLASS.water].share,
    notKnown: areas[TIER_CLASS.notKnown].share,
  };
}

function sumAreas(areas: readonly TierArea[]): TierArea {
  const sum = (pick: (area: TierArea) => number) => areas.reduce((total, area) => total + pick(area), 0);
  return { cells: sum(({ cells }) => cells), areaM2: sum(({ areaM2 }) => areaM2), share: sum(({ share }) => share) };
}

/** Share of the area with nothing known to stand on it; null where one thing is said of the whole of it. */
function computeClutterNotKnownShare({ counts }: Coverage, areaCells: number): number | null {
  return counts.clutterNotKnown === null ? null : counts.clutterNotKnown / areaCells;
}

/** Power, what it serves, and what is heard by cause: at its own receiver, and mean over its served cells at the CPEs. */
function buildSectorSummary({ links, noise, counts }: Coverage, index: number) {
  const { sector, down } = links[index];
  const { causes, meanDbm, medianDbm, p90Dbm } = noise[index];
  const servedCells = counts.servedCells[index];
  const meanOver = (sumMw: number) => (sumMw > 0 ? roundToThousandth(toDb(sumMw / servedCells)) : null);
  return {
    id: sector.id,
    eirpDbm: roundToThousandth(down.eirpDbm),
    binding: down.binding,
    servedCells,
    noiseUp: {
      meanDbm: roundToThousandth(meanDbm),
      medianDbm: roundToThousandth(medianDbm),
      p90Dbm: roundToThousandth(p90Dbm),
      thermalDbm: toLevelDbm(causes.thermalMw),
      scansDbm: toLevelDbm(causes.scansMw),
      emittersDbm: toLevelDbm(causes.emittersMw),
      basesDbm: toLevelDbm(causes.basesMw),
      subscribersDbm: toLevelDbm(causes.subscribersMw),
    },
    interferenceDown: {
      ownSiteDbm: meanOver(counts.interferenceMw[index].ownSite),
      otherSitesDbm: meanOver(counts.interferenceMw[index].otherSites),
      emittersDbm: meanOver(counts.interferenceMw[index].emitters),
    },
  };
}

function toLevelDbm(powerMw: number): number | null {
  return powerMw > 0 ? roundToThousandth(toDb(powerMw)) : null;
}

function toArea({ cells, areaM2, share }: TierArea) {
  return { cells, areaKm2: roundToThousandth(areaM2 / 1e6), share };
}

function listTerrainFiles(coverage: Coverage) {
  const byName = new Map(coverage.terrain.flatMap(({ files }) => files.map((file) => [file.name, file])));
  return [...byName.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
}

function roundToThousandth(value: number): number {
  return Math.round(value * 1000) / 1000;
}
