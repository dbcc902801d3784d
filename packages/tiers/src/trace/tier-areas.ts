import { computeCellAreaM2, type LatticeWindow } from "@fellmark/geodesy";
import { TIER_CLASS } from "../tier-class.ts";

export interface TierArea {
  cells: number;
  areaM2: number;
  /** Share of the cells of the area, which are all but those outside. */
  share: number;
}

/** Cells, ground area and share of each class; index = class. */
export function computeTierAreas(window: LatticeWindow, classes: Uint8Array): TierArea[] {
  const cells = new Float64Array(256);
  const areaM2 = new Float64Array(256);
  const rowCells = new Int32Array(256);
  for (let row = 0; row < window.height; row++) {
    rowCells.fill(0);
    for (let at = row * window.width; at < (row + 1) * window.width; at++) rowCells[classes[at]]++;
    const cellM2 = computeCellAreaM2(window.row0 + row, window.zoom);
    for (let tier = 0; tier < 256; tier++) {
      cells[tier] += rowCells[tier];
      areaM2[tier] += rowCells[tier] * cellM2;
    }
  }
  const inArea = classes.length - cells[TIER_CLASS.outside];
  return Array.from(cells, (count, tier) => ({
    cells: count,
    areaM2: areaM2[tier],
    share: tier === TIER_CLASS.outside || inArea === 0 ? 0 : count / inArea,
  }));
}
