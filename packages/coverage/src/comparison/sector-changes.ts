import { findSectorTraffic } from "@fellmark/network";
import { CELL_CLASS } from "@fellmark/sweep";
import { computeSectorCapacity, type SectorCapacity } from "../advice/sector-capacity.ts";
import type { CoveredArea } from "./covered-cells.ts";
import { findCellOfPlace } from "./places.ts";
import { compareSinr, type SinrChange } from "./sinr-change.ts";

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

/** Compares every sector that exists before or after. */
export function compareSectors(before: CoveredArea, after: CoveredArea): SectorChange[] {
  const ids = new Set([...before.request.sectors, ...after.request.sectors].map(({ id }) => id));
  return Array.from(ids, (id) => {
    const number = (area: CoveredArea) => area.request.sectors.findIndex((sector) => sector.id === id);
    const [was, is] = [number(before), number(after)];
    const isOwn = (cell: number) =>
      was >= 0 && is >= 0 && before.cells.server[cell] === was + 1 && after.cells.server[cell] === is + 1;
    return {
      id,
      before: was < 0 ? null : describeSector(before, was),
      after: is < 0 ? null : describeSector(after, is),
      lostCells: was < 0 ? 0 : countLostCells(before, after, was),
      sinrDown: compareSinr(before, after, "sinrDown", isOwn),
      sinrUp: compareSinr(before, after, "sinrUp", isOwn),
    };
  });
}

function countLostCells(before: CoveredArea, after: CoveredArea, sector: number): number {
  let lost = 0;
  before.cells.tier.forEach((tier, cell) => {
    const served = tier > 0 && tier < CELL_CLASS.notKnown && before.cells.server[cell] === sector + 1;
    const tierAfter = after.cells.tier[cell];
    if (served && (tierAfter === 0 || tierAfter >= CELL_CLASS.notKnown)) lost++;
  });
  return lost;
}

/** Capacity by the sector's subscribers, or where none are known over the cells that it serves with some plan. */
function describeSector(area: CoveredArea, sector: number): SectorState {
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
          const cell = findCellOfPlace(coverage.window, subscriber);
          return cell < 0 ? [] : [placeAt(cell, request.plans.findIndex(({ id }) => id === subscriber.plan) + 1)];
        })
      : countServedCells(area, sector).map((cell) => placeAt(cell, 0));
  return {
    servedCells: coverage.counts.servedCells[sector],
    noiseUpDbm: coverage.noise[sector].meanDbm,
    capacity: computeSectorCapacity(places, request.plans, findSectorTraffic(request, request.sectors[sector])),
  };
}

function countServedCells({ cells }: CoveredArea, sector: number): number[] {
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
