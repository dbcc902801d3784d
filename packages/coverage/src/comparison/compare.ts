import { cellAreaM2, type LatticeWindow, type LonLat } from "@fellmark/geodesy";
import { applyChanges, type ComparisonRequest, type CoverageRequest, type SiteSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { type SectorCapacity, sectorCapacity } from "../advice/sector-capacity.ts";
import type { CoverageWatch } from "../coverage.ts";
import { NO_DATA } from "../layers/layer-job.ts";
import { createLevelStore } from "../level-store.ts";
import type { LossCache } from "../loss-cache.ts";
import type { DiscLoss, Engine } from "../mast-loss.ts";
import { CELL_CLASS } from "../sweep/sweep-frame.ts";
import { CHANGE_CLASS, changeClasses } from "./change-class.ts";
import { type CoveredArea, coverCells } from "./covered-cells.ts";
import { cellOfPlace } from "./places.ts";
import { type Seam, seamTable } from "./seam-table.ts";

/** Area and premises of one plan, before and after. */
export interface TierChange {
  plan: string;
  /** Ground that has this plan or a better one now and had not, and the other way about. */
  gainedKm2: number;
  lostKm2: number;
  beforeKm2: number;
  afterKm2: number;
  /** Premises by their best plan; null where none were given. */
  premises: { before: number; after: number; gained: number; lost: number } | null;
}

/** Change of a SINR over the cells that have a server both times, dB. */
export interface SinrChange {
  meanDb: number;
  p10Db: number;
  p90Db: number;
}

export interface SectorChange {
  id: string;
  /** Null where the sector is not there. */
  before: SectorState | null;
  after: SectorState | null;
  /** Cells that it served before with some plan and that no sector serves now. */
  lostCells: number;
  /** Over the cells that it serves both times; null where there are none. */
  sinrDown: SinrChange | null;
  sinrUp: SinrChange | null;
}

export interface SectorState {
  servedCells: number;
  /** Mean noise and interference at its receiver. */
  noiseUpDbm: number;
  capacity: SectorCapacity;
}

/** A subscriber who would be worse off. */
export interface Harm {
  subscriber: string;
  planBefore: string | null;
  planAfter: string | null;
  sinrDownChangeDb: number | null;
}

export interface ComparisonReport {
  cells: { gained: number; lost: number; betterPlan: number; worsePlan: number; unchanged: number };
  tiers: TierChange[];
  sinrDown: SinrChange | null;
  sinrUp: SinrChange | null;
  sectors: SectorChange[];
  /** Subscribers who would lose a plan or more than 3 dB; nobody: the change passes. */
  doNoHarm: { passes: boolean; subscribers: number; harmed: Harm[] };
  seams: { before: Seam[]; after: Seam[] };
}

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
  { base, changes, premises = [] }: Pick<ComparisonRequest, "base" | "changes" | "premises">,
  watch: CoverageWatch = {},
): Promise<Comparison> {
  const changed = applyChanges(base, changes);
  const sites = unionOfSites(base, changed);
  const levels = createLevelStore(LEVELS_BYTES);
  const half = (from: number) => ({
    ...watch,
    levels,
    onProgress: (share: number, stage: string) => watch.onProgress?.(from + share / 2, stage),
  });
  const remembering = { ...engine, losses: engine.losses ?? memoryLossCache() };
  const before = await coverCells(remembering, catalogue, { ...base, sites }, half(0));
  const after = await coverCells(remembering, catalogue, { ...changed, sites }, half(0.5));
  const { window } = before.coverage;
  const classes = changeClasses(before.cells.tier, after.cells.tier);
  const points = premises.map(([lon, lat]) => ({ lon, lat }));
  return { window, before, after, classes, report: reportOf(before, after, classes, points) };
}

/** Keeps the losses of the masts between the two coverages where there is no cache on disk. */
function memoryLossCache(): LossCache {
  const known = new Map<string, DiscLoss>();
  return {
    read: async (key) => known.get(key),
    write: async (key, loss) => {
      known.set(key, loss);
    },
  };
}

/** Both coverages lie on one window: that of the sites of both. */
function unionOfSites(base: CoverageRequest, changed: CoverageRequest): SiteSpec[] {
  const known = new Set(base.sites.map(({ id }) => id));
  return [...base.sites, ...changed.sites.filter(({ id }) => !known.has(id))];
}

function reportOf(
  before: CoveredArea,
  after: CoveredArea,
  classes: Uint8Array,
  premises: readonly LonLat[],
): ComparisonReport {
  const count = (change: number) => classes.reduce((sum, one) => sum + (one === change ? 1 : 0), 0);
  return {
    cells: {
      gained: count(CHANGE_CLASS.gained),
      lost: count(CHANGE_CLASS.lost),
      betterPlan: count(CHANGE_CLASS.betterPlan),
      worsePlan: count(CHANGE_CLASS.worsePlan),
      unchanged: count(CHANGE_CLASS.unchanged),
    },
    tiers: before.request.plans.map((_, index) => tierChange(before, after, index + 1, premises)),
    sinrDown: sinrChange(before, after, "sinrDown"),
    sinrUp: sinrChange(before, after, "sinrUp"),
    sectors: sectorChanges(before, after),
    doNoHarm: harmDone(before, after),
    seams: { before: seamTable(before.request), after: seamTable(after.request) },
  };
}

function tierChange(before: CoveredArea, after: CoveredArea, tier: number, premises: readonly LonLat[]): TierChange {
  const { window } = before.coverage;
  const areasM2 = { before: 0, after: 0, gained: 0, lost: 0 };
  for (let row = 0; row < window.height; row++) {
    const cellM2 = cellAreaM2(window.row0 + row, window.zoom);
    for (let at = row * window.width; at < (row + 1) * window.width; at++) {
      const [was, is] = [hasPlan(before.cells.tier[at], tier), hasPlan(after.cells.tier[at], tier)];
      if (before.cells.tier[at] === tier) areasM2.before += cellM2;
      if (after.cells.tier[at] === tier) areasM2.after += cellM2;
      if (is && !was) areasM2.gained += cellM2;
      if (was && !is) areasM2.lost += cellM2;
    }
  }
  return {
    plan: before.request.plans[tier - 1].id,
    gainedKm2: areasM2.gained / 1e6,
    lostKm2: areasM2.lost / 1e6,
    beforeKm2: areasM2.before / 1e6,
    afterKm2: areasM2.after / 1e6,
    premises: premises.length === 0 ? null : premisesChange(before, after, tier, premises),
  };
}

/** Whether a cell has the plan or a better one. */
function hasPlan(cellTier: number, tier: number): boolean {
  return cellTier > 0 && cellTier <= tier;
}

function premisesChange(before: CoveredArea, after: CoveredArea, tier: number, premises: readonly LonLat[]) {
  const change = { before: 0, after: 0, gained: 0, lost: 0 };
  for (const place of premises) {
    const cell = cellOfPlace(before.coverage.window, place);
    if (cell < 0) continue;
    const [was, is] = [before.cells.tier[cell], after.cells.tier[cell]];
    if (was === tier) change.before++;
    if (is === tier) change.after++;
    if (hasPlan(is, tier) && !hasPlan(was, tier)) change.gained++;
    if (hasPlan(was, tier) && !hasPlan(is, tier)) change.lost++;
  }
  return change;
}

/** @param isCounted cells that count; absent: all with a server both times. */
function sinrChange(
  before: CoveredArea,
  after: CoveredArea,
  layer: "sinrDown" | "sinrUp",
  isCounted: (cell: number) => boolean = () => true,
): SinrChange | null {
  const [was, is] = [before.cells[layer], after.cells[layer]];
  const changes = new Float32Array(was.length);
  let count = 0;
  for (let cell = 0; cell < was.length; cell++) {
    if (was[cell] === NO_DATA || is[cell] === NO_DATA || !isCounted(cell)) continue;
    changes[count++] = (is[cell] - was[cell]) / 100;
  }
  if (count === 0) return null;
  const sorted = changes.subarray(0, count).sort();
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { meanDb: sorted.reduce((sum, db) => sum + db, 0) / sorted.length, p10Db: at(0.1), p90Db: at(0.9) };
}

function sectorChanges(before: CoveredArea, after: CoveredArea): SectorChange[] {
  const ids = new Set([...before.request.sectors, ...after.request.sectors].map(({ id }) => id));
  return Array.from(ids, (id) => {
    const number = (area: CoveredArea) => area.request.sectors.findIndex((sector) => sector.id === id);
    const [was, is] = [number(before), number(after)];
    const isOwn = (cell: number) =>
      was >= 0 && is >= 0 && before.cells.server[cell] === was + 1 && after.cells.server[cell] === is + 1;
    return {
      id,
      before: was < 0 ? null : sectorState(before, was),
      after: is < 0 ? null : sectorState(after, is),
      lostCells: was < 0 ? 0 : lostCells(before, after, was),
      sinrDown: sinrChange(before, after, "sinrDown", isOwn),
      sinrUp: sinrChange(before, after, "sinrUp", isOwn),
    };
  });
}

function lostCells(before: CoveredArea, after: CoveredArea, sector: number): number {
  let lost = 0;
  before.cells.tier.forEach((tier, cell) => {
    const served = tier > 0 && tier < CELL_CLASS.notKnown && before.cells.server[cell] === sector + 1;
    const tierAfter = after.cells.tier[cell];
    if (served && (tierAfter === 0 || tierAfter >= CELL_CLASS.notKnown)) lost++;
  });
  return lost;
}

/** Capacity by the sector's subscribers, or where none are known over the cells that it serves with some plan. */
function sectorState(area: CoveredArea, sector: number): SectorState {
  const { request, coverage, cells } = area;
  const own = request.subscribers.filter((subscriber) => subscriber.sector === request.sectors[sector].id);
  const placeAt = (cell: number, plan: number) => ({
    plan,
    downMbps: cells.rateDown[cell] / 10,
    upMbps: cells.rateUp[cell] / 10,
  });
  const places =
    own.length > 0
      ? own.flatMap((subscriber) => {
          const cell = cellOfPlace(coverage.window, subscriber);
          return cell < 0 ? [] : [placeAt(cell, request.plans.findIndex(({ id }) => id === subscriber.plan) + 1)];
        })
      : servedCells(area, sector).map((cell) => placeAt(cell, 0));
  return {
    servedCells: coverage.counts.servedCells[sector],
    noiseUpDbm: coverage.noise[sector].meanDbm,
    capacity: sectorCapacity(places, request.plans),
  };
}

function servedCells({ cells }: CoveredArea, sector: number): number[] {
  const served: number[] = [];
  cells.server.forEach((server, cell) => {
    const tier = cells.tier[cell];
    if (server === sector + 1 && tier > 0 && tier < CELL_CLASS.notKnown) served.push(cell);
  });
  const every = Math.ceil(served.length / CAPACITY_CELLS);
  return served.filter((_, index) => index % every === 0);
}

/** Cells that stand for those of a sector in its capacity, at most. */
const CAPACITY_CELLS = 20_000;

/** Loss of SINR that counts as harm, dB. */
const HARM_DB = 3;

function harmDone(before: CoveredArea, after: CoveredArea): ComparisonReport["doNoHarm"] {
  const { plans, subscribers } = before.request;
  const planOf = ({ cells }: CoveredArea, cell: number) => {
    const tier = cell < 0 ? 0 : cells.tier[cell];
    return tier > 0 && tier < CELL_CLASS.notKnown ? tier : plans.length + 1;
  };
  const harmed = subscribers.flatMap((subscriber): Harm[] => {
    const cell = cellOfPlace(before.coverage.window, subscriber);
    const [was, is] = [planOf(before, cell), planOf(after, cell)];
    const changeDb = cell < 0 ? null : sinrChangeAt(before, after, cell);
    if (is <= was && (changeDb === null || changeDb >= -HARM_DB)) return [];
    const idOf = (tier: number) => plans[tier - 1]?.id ?? null;
    return [{ subscriber: subscriber.id, planBefore: idOf(was), planAfter: idOf(is), sinrDownChangeDb: changeDb }];
  });
  return { passes: harmed.length === 0, subscribers: subscribers.length, harmed };
}

function sinrChangeAt(before: CoveredArea, after: CoveredArea, cell: number): number | null {
  const [was, is] = [before.cells.sinrDown[cell], after.cells.sinrDown[cell]];
  return was === NO_DATA || is === NO_DATA ? null : (is - was) / 100;
}
