import { chooseZoom, computeCellSizeM, fitWindow, type LatticeWindow } from "@fellmark/geodesy";
import type { CoverageRequest } from "./coverage-request.ts";

/** Cells (all discs together) above which a request is refused before it is queued. */
export const MAX_CELLS = 40_000_000;

/** Cells times sectors above which a request is refused: bounds the work of the layers after the loss. */
export const MAX_SECTOR_CELLS = 400_000_000;

/** Cells of the bounding window above which a request is refused: bounds memory. */
export const MAX_WINDOW_CELLS = 60_000_000;

const DEFAULT_CELL_M = 30;

/** The zoom of a request: as stated, or the one whose cell is nearest to `cellM` at the first site. */
export function findZoom(request: CoverageRequest): number {
  if (request.area.zoom !== undefined) return request.area.zoom;
  return chooseZoom(request.sites[0]?.lat ?? 0, request.area.cellM ?? DEFAULT_CELL_M);
}

/** The lattice window that holds the disc around every site. */
export function findWindow(request: CoverageRequest): LatticeWindow {
  return fitWindow(request.sites, request.area.radiusM, findZoom(request));
}

export interface Cost {
  cellM: number;
  /** Cells in the discs of all distinct (site, mast height) pairs: each is one sweep. */
  sweptCells: number;
  sectorCells: number;
  windowCells: number;
}

/** Work of a request, from its text alone. */
export function estimateCost(request: CoverageRequest): Cost {
  const cellM = computeCellSizeM(request.sites[0]?.lat ?? 0, findZoom(request));
  const discCells = Math.PI * (request.area.radiusM / cellM) ** 2;
  const masts = new Set(request.sectors.map((sector) => `${sector.site} ${sector.heightAglM}`)).size;
  const { width, height } = findWindow(request);
  return {
    cellM,
    sweptCells: discCells * masts,
    sectorCells: discCells * request.sectors.length,
    windowCells: width * height,
  };
}
