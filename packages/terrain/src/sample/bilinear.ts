import type { CellRect } from "../raster/raster-header.ts";
import type { CellArray } from "../raster/read-cells.ts";
import type { GridGroup, GroupMember } from "./grid-group.ts";

/** A sample this close to a row or column, in cells, counts as on it: rounding must not bring in a neighbour. */
const ON_CELL = 1e-6;

/** Columns and rows of places in the group's grid. */
export interface RowPositions {
  cols: Float64Array;
  rows: Float64Array;
}

/**
 * Bilinear value at (col, row) of the group's grid; NaN where not known.
 * A neighbour that is not known makes the result not known, unless its weight is zero: voids are never averaged in.
 * The outer half of a raster's last cells takes the value at their centres where no other raster continues, so that
 * rasters on different grids meet without a gap.
 */
export function sampleBilinear({ rect, values }: CellArray, { members }: GridGroup, col: number, row: number): number {
  const value = interpolate(rect, values, col, row);
  return Number.isNaN(value) ? sampleRim(rect, values, members, col, row) : value;
}

/** Writes `sampleBilinear` of each position into `out`, from index `at`, wherever `out` is still NaN. */
export function sampleRowBilinear(
  { rect, values }: CellArray,
  { members }: GridGroup,
  { cols, rows }: RowPositions,
  out: Float32Array | Float64Array,
  at: number,
): void {
  for (let index = 0; index < cols.length; index++) {
    const before = out[at + index] as number;
    if (!Number.isNaN(before)) continue;
    const col = cols[index] as number;
    const row = rows[index] as number;
    const value = interpolate(rect, values, col, row);
    out[at + index] = Number.isNaN(value) ? sampleRim(rect, values, members, col, row) : value;
  }
}

function sampleRim(rect: CellRect, values: Float32Array, members: GroupMember[], col: number, row: number): number {
  for (const member of members) {
    const c = clampToRim(col, member.rect.col, member.rect.width);
    const r = clampToRim(row, member.rect.row, member.rect.height);
    if ((c === col && r === row) || Number.isNaN(c) || Number.isNaN(r)) continue;
    const isAlone = members.every((other) => other === member || !isNextToRect(other.rect, col, row));
    if (isAlone) return interpolate(rect, values, c, r);
  }
  return Number.NaN;
}

function interpolate(rect: CellRect, values: Float32Array, col: number, row: number): number {
  const { width, height } = rect;
  const x = col - rect.col;
  const y = row - rect.row;
  const west = Math.floor(x + ON_CELL);
  const north = Math.floor(y + ON_CELL);
  let across = x - west;
  let down = y - north;
  if (across < ON_CELL) across = 0;
  if (down < ON_CELL) down = 0;
  const toEast = across > 0 ? 1 : 0;
  const toSouth = down > 0 ? 1 : 0;
  if (!(west >= 0 && north >= 0 && west + toEast < width && north + toSouth < height)) return Number.NaN;
  const nw = north * width + west;
  const sw = nw + toSouth * width;
  const upper = (values[nw] as number) + across * ((values[nw + toEast] as number) - (values[nw] as number));
  const lower = (values[sw] as number) + across * ((values[sw + toEast] as number) - (values[sw] as number));
  return upper + down * (lower - upper);
}

/** Moves a coordinate in the outer half of the first or last cell to the centre of that cell; NaN beyond. */
function clampToRim(at: number, first: number, count: number): number {
  const last = first + count - 1;
  if (at < first) return at >= first - 0.5 ? first : Number.NaN;
  if (at > last) return at <= last + 0.5 ? last : Number.NaN;
  return at;
}

/** True where any of the four cells around a place lies in the rectangle. */
function isNextToRect({ col, row, width, height }: CellRect, x: number, y: number): boolean {
  return Math.ceil(x) >= col && Math.floor(x) < col + width && Math.ceil(y) >= row && Math.floor(y) < row + height;
}
