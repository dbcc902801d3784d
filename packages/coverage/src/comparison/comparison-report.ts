import { computeCellAreaM2, type LonLat } from "@fellmark/geodesy";
import type { Change } from "@fellmark/network";
import { CHANGE_CLASS, classifyChanges } from "./change-class.ts";
import type { CoveredArea } from "./covered-cells.ts";
import { findHarm, type HarmReport } from "./harm.ts";
import { countOverlapCells, type OverlapCells } from "./overlap-cells.ts";
import { buildOverlapTable, type Overlap } from "./overlap-table.ts";
import { findCellOfPlace } from "./places.ts";
import { compareSectors, type SectorChange } from "./sector-changes.ts";
import { compareSinr, type SinrChange } from "./sinr-change.ts";

/** Area and premises that have one plan or a better one, before and after. */
export interface TierChange {
  plan: string;
  /** Ground that has it now and had not, and the other way about. */
  gainedKm2: number;
  lostKm2: number;
  beforeKm2: number;
  afterKm2: number;
  /** Null where none were given. */
  premises: { before: number; after: number; gained: number; lost: number } | null;
}

export interface OverlapReport extends Overlap {
  ground: OverlapCells;
}

/** Cells by change. Unchanged are all others with elevation, served or not. */
export interface CellChanges {
  gained: number;
  lost: number;
  betterPlan: number;
  worsePlan: number;
  unchanged: number;
}

/** Effect of one change after the changes before it. */
export interface StepReport {
  /** Index of the change. */
  change: number;
  kind: Change["kind"];
  cells: CellChanges;
  tiers: TierChange[];
  sinrDown: SinrChange | null;
  sinrUp: SinrChange | null;
  doNoHarm: HarmReport;
}

export interface ComparisonReport {
  cells: CellChanges;
  tiers: TierChange[];
  sinrDown: SinrChange | null;
  sinrUp: SinrChange | null;
  sectors: SectorChange[];
  doNoHarm: HarmReport;
  overlaps: { before: OverlapReport[]; after: OverlapReport[] };
  /** Null where they were not asked for. */
  steps: StepReport[] | null;
}

/** All that a comparison tells besides the steps. */
export function buildReport(before: CoveredArea, after: CoveredArea, premises: readonly LonLat[]) {
  return {
    ...buildStepReport(before, after, premises),
    sectors: compareSectors(before, after),
    overlaps: { before: listAreaOverlaps(before), after: listAreaOverlaps(after) },
  };
}

/** Effect of what was changed between two states. */
export function buildStepReport(before: CoveredArea, after: CoveredArea, premises: readonly LonLat[]) {
  return {
    cells: countCellChanges(classifyChanges(before.cells.tier, after.cells.tier)),
    tiers: before.request.plans.map((_, index) => compareTiers(before, after, index + 1, premises)),
    sinrDown: compareSinr(before, after, "sinrDown"),
    sinrUp: compareSinr(before, after, "sinrUp"),
    doNoHarm: findHarm(before, after),
  };
}

function countCellChanges(classes: Uint8Array): CellChanges {
  const count = (change: number) => classes.reduce((sum, one) => sum + (one === change ? 1 : 0), 0);
  return {
    gained: count(CHANGE_CLASS.gained),
    lost: count(CHANGE_CLASS.lost),
    betterPlan: count(CHANGE_CLASS.betterPlan),
    worsePlan: count(CHANGE_CLASS.worsePlan),
    unchanged: count(CHANGE_CLASS.unchanged),
  };
}

function listAreaOverlaps(area: CoveredArea): OverlapReport[] {
  return buildOverlapTable(area.request).map((overlap) => ({ ...overlap, ground: countOverlapCells(area, overlap) }));
}

function compareTiers(before: CoveredArea, after: CoveredArea, tier: number, premises: readonly LonLat[]): TierChange {
  const { window } = before.coverage;
  const areasM2 = { before: 0, after: 0, gained: 0, lost: 0 };
  for (let row = 0; row < window.height; row++) {
    const cellM2 = computeCellAreaM2(window.row0 + row, window.zoom);
    for (let at = row * window.width; at < (row + 1) * window.width; at++) {
      const [was, is] = [hasPlan(before.cells.tier[at], tier), hasPlan(after.cells.tier[at], tier)];
      if (was) areasM2.before += cellM2;
      if (is) areasM2.after += cellM2;
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
    premises: premises.length === 0 ? null : comparePremises(before, after, tier, premises),
  };
}

/** True where a cell has the plan or a better one. */
function hasPlan(cellTier: number, tier: number): boolean {
  return cellTier > 0 && cellTier <= tier;
}

function comparePremises(before: CoveredArea, after: CoveredArea, tier: number, premises: readonly LonLat[]) {
  const change = { before: 0, after: 0, gained: 0, lost: 0 };
  for (const place of premises) {
    const cell = findCellOfPlace(before.coverage.window, place);
    if (cell < 0) continue;
    const [was, is] = [hasPlan(before.cells.tier[cell], tier), hasPlan(after.cells.tier[cell], tier)];
    if (was) change.before++;
    if (is) change.after++;
    if (is && !was) change.gained++;
    if (was && !is) change.lost++;
  }
  return change;
}
