import { type Coverage, MODEL_VERSION } from "@fellmark/coverage";
import { cellSizeM } from "@fellmark/geodesy";
import type { ResultFile } from "@fellmark/ledger";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { TIER_CLASS, type TierArea, tierAreas } from "@fellmark/tiers";
import { dbFromRatio } from "@fellmark/units";
import { warningsOf } from "./warnings.ts";

export interface SummaryInput {
  jobId: string;
  request: CoverageRequest;
  catalogue: TerrainCatalogue;
  coverage: Coverage;
  /** The tier raster of the whole window. */
  classes: Uint8Array;
  /** Files written so far. */
  files: ResultFile[];
}

/** The content of summary.json. Nothing in it depends on the clock: same inputs, same bytes. */
export function summaryOf(input: SummaryInput) {
  const { request, catalogue, coverage, classes } = input;
  const { window } = coverage;
  const areas = tierAreas(window, classes);
  const total = areas.reduce((sum, { cells }, tier) => sum + (tier === TIER_CLASS.outside ? 0 : cells), 0);
  const notKnown = areas[TIER_CLASS.notKnown];
  return {
    version: 1,
    id: input.jobId,
    name: request.name,
    model: MODEL_VERSION,
    terrain: { fingerprint: catalogue.fingerprint, files: terrainFiles(coverage), refused: catalogue.refused },
    lattice: { ...window, cellM: rounded(cellSizeM(request.sites[0].lat, window.zoom)) },
    cells: { area: total, known: total - notKnown.cells, notKnown: notKnown.cells },
    notKnownShare: notKnown.share,
    clutterNotKnownShare: clutterNotKnownShare(coverage, total),
    tiers: request.plans.map(({ id, downMbps, upMbps }, index) => ({
      plan: id,
      downMbps,
      upMbps,
      ...areaOf(areas[index + 1]),
    })),
    noService: { ...areaOf(areas[TIER_CLASS.noService]), upOnlyFails: coverage.counts.upOnlyFails },
    sectors: coverage.links.map((_, index) => sectorSummary(coverage, index)),
    files: input.files,
    warnings: warningsOf(request, catalogue, coverage),
  };
}

/** Share of the area with nothing known to stand on it; null where one thing is said of the whole of it. */
function clutterNotKnownShare({ counts }: Coverage, areaCells: number): number | null {
  return counts.clutterNotKnown === null ? null : counts.clutterNotKnown / areaCells;
}

/** Power, what it serves, and what is heard by cause: at its own receiver, and mean over its served cells at the CPEs. */
function sectorSummary({ links, noise, counts }: Coverage, index: number) {
  const { sector, down } = links[index];
  const { causes, meanDbm, medianDbm, p90Dbm } = noise[index];
  const servedCells = counts.servedCells[index];
  const meanOver = (sumMw: number) => (sumMw > 0 ? rounded(dbFromRatio(sumMw / servedCells)) : null);
  return {
    id: sector.id,
    eirpDbm: rounded(down.eirpDbm),
    binding: down.binding,
    servedCells,
    noiseUp: {
      meanDbm: rounded(meanDbm),
      medianDbm: rounded(medianDbm),
      p90Dbm: rounded(p90Dbm),
      thermalDbm: levelOf(causes.thermalMw),
      scansDbm: levelOf(causes.scansMw),
      emittersDbm: levelOf(causes.emittersMw),
      basesDbm: levelOf(causes.basesMw),
      subscribersDbm: levelOf(causes.subscribersMw),
    },
    interferenceDown: {
      ownSiteDbm: meanOver(counts.interferenceMw[index].ownSite),
      otherSitesDbm: meanOver(counts.interferenceMw[index].otherSites),
      emittersDbm: meanOver(counts.interferenceMw[index].emitters),
    },
  };
}

function levelOf(powerMw: number): number | null {
  return powerMw > 0 ? rounded(dbFromRatio(powerMw)) : null;
}

function areaOf({ cells, areaM2, share }: TierArea) {
  return { cells, areaKm2: rounded(areaM2 / 1e6), share };
}

function terrainFiles(coverage: Coverage) {
  const byName = new Map(coverage.terrain.flatMap(({ files }) => files.map((file) => [file.name, file])));
  return [...byName.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
}

function rounded(value: number): number {
  return Math.round(value * 1000) / 1000;
}
