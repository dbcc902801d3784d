import type { CellArray } from "../raster/read-cells.ts";
import type { RowPositions } from "./bilinear.ts";
import type { GridGroup } from "./grid-group.ts";

/** Value of the cell that contains the place; NaN where not known. */
export function sampleNearest({ rect, values }: CellArray, col: number, row: number): number {
  const c = Math.round(col) - rect.col;
  const r = Math.round(row) - rect.row;
  if (!(c >= 0 && r >= 0 && c < rect.width && r < rect.height)) return Number.NaN;
  return values[r * rect.width + c] as number;
}

/** Writes `sampleNearest` of each position into `out`, from index `at`, wherever `out` is still NaN. */
export function sampleRowNearest(
  cells: CellArray,
  _group: GridGroup,
  { cols, rows }: RowPositions,
  out: Float32Array | Float64Array,
  at: number,
): void {
  for (let index = 0; index < cols.length; index++) {
    if (!Number.isNaN(out[at + index])) continue;
    out[at + index] = sampleNearest(cells, cols[index] as number, rows[index] as number);
  }
}
