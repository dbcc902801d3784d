import { findWindowColumn, toLatticeRow } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { CELL_CLASS } from "@fellmark/sweep";
import { DEG_PER_RAD } from "@fellmark/units";
import type { Coverage } from "../coverage.ts";
import { NO_DATA } from "../layers/layer-job.ts";
import type { CoveredCells } from "./covered-cells.ts";
import type { Overlap } from "./overlap-table.ts";

/**
 * Counts of cells along a co-channel overlap: cells within 20 degrees of it to which one of its two sectors is the
 * best.
 */
export interface OverlapCells {
  cells: number;
  /** Those with some plan. */
  servedCells: number;
  /** Null where there are no cells. */
  meanSinrDownDb: number | null;
}

/** The part of a covered area that shows the state of its co-channel overlaps. */
export interface OverlapArea {
  request: Pick<CoverageRequest, "sites" | "sectors">;
  coverage: Pick<Coverage, "window">;
  cells: Pick<CoveredCells, "tier" | "server" | "sinrDown">;
}

const NEAR_SEAM_DEG = 20;

/**
 * Bearings are those of the lattice, which is conformal: true within a tenth of a degree over some tens of kilometres.
 */
export function countOverlapCells({ request, coverage, cells }: OverlapArea, overlap: Overlap): OverlapCells {
  const { window } = coverage;
  const servers = overlap.sectors.map((id) => request.sectors.findIndex((sector) => sector.id === id) + 1);
  const site = request.sites.find(({ id }) => id === request.sectors[servers[0] - 1].site);
  if (!site) return { cells: 0, servedCells: 0, meanSinrDownDb: null };
  const siteColumn = findWindowColumn(site.lon, window);
  const siteRow = toLatticeRow(site.lat, window.zoom) - window.row0;
  let [count, served, sumDb] = [0, 0, 0];
  cells.server.forEach((server, cell) => {
    if (!servers.includes(server) || cells.sinrDown[cell] === NO_DATA) return;
    const east = (cell % window.width) + 0.5 - siteColumn;
    const south = Math.floor(cell / window.width) + 0.5 - siteRow;
    const offDeg = Math.atan2(east, -south) * DEG_PER_RAD - overlap.azimuthDeg;
    if (Math.abs(((offDeg + 900) % 360) - 180) > NEAR_SEAM_DEG) return;
    count++;
    sumDb += cells.sinrDown[cell] / 100;
    if (cells.tier[cell] > 0 && cells.tier[cell] < CELL_CLASS.notKnown) served++;
  });
  return { cells: count, servedCells: served, meanSinrDownDb: count === 0 ? null : sumDb / count };
}
