import { countWorldCells, type LatticeWindow, toLatticeColumn, toLatticeRow } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";

export interface KnownSubscribers {
  /** Sectors that have subscribers, by number. */
  sectors: Set<number>;
  /** Subscribers by the cell of the window that they stand in; those off the window are left out. */
  byCell: Map<number, { sector: number; weight: number }[]>;
}

/** The subscribers of a request by cell, each weighted with the uplink speed of its plan. */
export function groupSubscribersByCell(request: CoverageRequest, window: LatticeWindow): KnownSubscribers {
  const known: KnownSubscribers = { sectors: new Set(), byCell: new Map() };
  const numberOf = new Map(request.sectors.map(({ id }, index) => [id, index]));
  const speedOf = new Map(request.plans.map(({ id, upMbps }) => [id, upMbps]));
  const world = countWorldCells(window.zoom);
  for (const { sector: id, plan, lon, lat } of request.subscribers ?? []) {
    const sector = numberOf.get(id);
    const apart = Math.floor(toLatticeColumn(lon, window.zoom)) - window.col0;
    const column = ((apart % world) + world) % world;
    const row = Math.floor(toLatticeRow(lat, window.zoom)) - window.row0;
    if (sector === undefined || column >= window.width || row < 0 || row >= window.height) continue;
    const cell = row * window.width + column;
    known.sectors.add(sector);
    known.byCell.set(cell, [...(known.byCell.get(cell) ?? []), { sector, weight: speedOf.get(plan) ?? 1 }]);
  }
  return known;
}
