import { computeCellAreaM2, type LatticeWindow } from "@fellmark/geodesy";
import { mergeSpecks, TIER_CLASS } from "@fellmark/tiers";

/** Ground area below which a patch of one class could mark out a single home, m2. */
const SMALLEST_AREA_M2 = 2500;

/** The rule in words, published with every layer. */
export const SMALL_AREA_RULE =
  `Areas below ${SMALLEST_AREA_M2} m2 are not shown: an area of a plan joins the lower class around it, ` +
  "a hole of a lower class grows into the higher one around it. No place is ever shown with more than was computed.";

/** Passes after which what is still small stays: growth takes from better classes only, so few are needed. */
const MAX_PASSES = 12;

/**
 * Returns a copy of the classes without areas smaller than `smallestM2`, by SMALL_AREA_RULE. Cells of an area share sides.
 * Small areas that only cells beyond the raster could enlarge stay as they are.
 */
export function hideSmallAreas(
  window: LatticeWindow,
  classes: Uint8Array,
  planCount: number,
  smallestM2 = SMALLEST_AREA_M2,
): Uint8Array {
  let hidden = mergeSpecks(window, classes, 2 * planCount, smallestM2);
  for (let pass = 0; pass < MAX_PASSES && growSmallHoles(window, hidden, smallestM2); pass++) {
    hidden = mergeSpecks(window, hidden, 2 * planCount, smallestM2);
  }
  return hidden;
}

/** Enlarges every small area by cells around it that promise more. Returns true where a class changed. */
function growSmallHoles(window: LatticeWindow, classes: Uint8Array, smallestM2: number): boolean {
  const { width, height } = window;
  const cellM2 = Float64Array.from({ length: height }, (_, row) => computeCellAreaM2(window.row0 + row, window.zoom));
  const seen = new Uint8Array(classes.length);
  let hasChanged = false;
  for (let cell = 0; cell < classes.length; cell++) {
    if (seen[cell] === 1 || isInsideRow(window, classes, cell)) continue;
    const area = collectArea(window, classes, { cell, seen, mostCells: smallestM2 / cellM2[Math.floor(cell / width)] });
    if (area && growArea(window, classes, area, smallestM2, cellM2)) hasChanged = true;
  }
  return hasChanged;
}

/** True for a cell whose neighbour to the west is of its class: the area that it belongs to is looked at from there. */
function isInsideRow({ width }: LatticeWindow, classes: Uint8Array, cell: number): boolean {
  return cell % width > 0 && classes[cell - 1] === classes[cell];
}

interface AreaSearch {
  cell: number;
  /** Cells of areas that were measured before, marked 1; those of this one are added. */
  seen: Uint8Array;
  /** Cells from which on an area is large. */
  mostCells: number;
}

/** Returns the cells of the area around a cell; undefined once it is known to be large. */
function collectArea(
  window: LatticeWindow,
  classes: Uint8Array,
  { cell, seen, mostCells }: AreaSearch,
): number[] | undefined {
  const area = [cell];
  const found = new Set(area);
  for (let at = 0; at < area.length; at++) {
    if (area.length >= mostCells) return undefined;
    for (const next of listNeighbours(window, area[at])) {
      if (classes[next] !== classes[cell] || found.has(next)) continue;
      found.add(next);
      area.push(next);
    }
  }
  for (const one of area) seen[one] = 1;
  return area;
}

/** Gives an area the cells around it that promise more, nearest first, until it is large enough. */
function growArea(
  window: LatticeWindow,
  classes: Uint8Array,
  area: number[],
  smallestM2: number,
  cellM2: Float64Array,
): boolean {
  const tier = classes[area[0]];
  const before = area.length;
  let areaM2 = area.reduce((sum, cell) => sum + cellM2[Math.floor(cell / window.width)], 0);
  for (let at = 0; at < area.length && areaM2 < smallestM2; at++) {
    for (const next of listNeighbours(window, area[at])) {
      if (areaM2 >= smallestM2 || rankPromise(classes[next]) <= rankPromise(tier)) continue;
      classes[next] = tier;
      area.push(next);
      areaM2 += cellM2[Math.floor(next / window.width)];
    }
  }
  return area.length > before;
}

function listNeighbours({ width, height }: LatticeWindow, cell: number): number[] {
  const column = cell % width;
  const neighbours = [];
  if (cell >= width) neighbours.push(cell - width);
  if (column > 0) neighbours.push(cell - 1);
  if (column + 1 < width) neighbours.push(cell + 1);
  if (cell + width < width * height) neighbours.push(cell + width);
  return neighbours;
}

/** Greater for what promises more: outside, not known, no service, then plans from the last survey-first one. */
function rankPromise(tier: number): number {
  if (tier === TIER_CLASS.outside) return 0;
  if (tier === TIER_CLASS.notKnown) return 1;
  return tier === TIER_CLASS.noService ? 2 : 255 - tier;
}
