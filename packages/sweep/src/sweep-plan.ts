import { type SweepArea, type SweepGeometry, sweepGeometry } from "./sweep-frame.ts";

/**
 * Assignment of cells to radials: the cells of every radial in the order of their range.
 * Radial r covers azimuths [r, r + 1) * 2 pi / radialCount and runs down the middle of them.
 * A cell is packed as row * 65536 + column of the window.
 */
export interface SweepPlan {
  /** Shared memory; cells of radial r are cells[start[r]] .. cells[start[r + 1] - 1]. */
  start: Uint32Array;
  cells: Uint32Array;
}

/** Half a plan: 0 holds the radials east of the mast, 1 those west of it. Each half can be built on its own thread. */
export type PlanHalf = 0 | 1;

/** One half of a plan, for a thread. */
export interface PlanHalfTask {
  area: SweepArea;
  half: PlanHalf;
  plan: SweepPlan;
  offset: number;
}

/** The module that threads load for a PlanHalfTask. */
export const PLAN_HALF_MODULE = new URL("../dist/sweep-plan.js", import.meta.url).href;

export function runTask(task: PlanHalfTask): void {
  buildHalfPlan(task.area, sweepGeometry(task.area), task.half, task.plan, task.offset);
}

/** Cells in reach of the mast, row by row, as the columns west..east (both included) of one half. */
function findHalfColumns(area: SweepArea, geometry: SweepGeometry, half: PlanHalf, row: number): [number, number] {
  const { northM, eastPerColumnM, originColumn } = geometry.rows;
  const reachSquared = area.radiusM ** 2 - northM[row] ** 2;
  if (reachSquared < 0) return [0, -1];
  const reach = Math.sqrt(reachSquared) / eastPerColumnM[row];
  const middle = Math.ceil(originColumn - 0.5);
  return half === 0
    ? [middle, Math.floor(originColumn - 0.5 + reach)]
    : [Math.ceil(originColumn - 0.5 - reach), middle - 1];
}

/** Cells of a half, for the size of its arrays. */
export function countHalf(area: SweepArea, geometry: SweepGeometry, half: PlanHalf): number {
  let count = 0;
  for (let row = 0; row < area.window.height; row++) {
    const [first, last] = findHalfColumns(area, geometry, half, row);
    count += Math.max(0, last - first + 1);
  }
  return count;
}

/**
 * Writes one half of a plan: a counting sort by range step, then a stable one by radial.
 * `cells` receives the half's cells from index `offset` on, `start` its radials (and the end of the last one).
 */
export function buildHalfPlan(
  area: SweepArea,
  geometry: SweepGeometry,
  half: PlanHalf,
  plan: SweepPlan,
  offset: number,
): void {
  const { byRange, scratch: radialOf } = sortCellsByRange(area, geometry, half);
  const halfRadials = geometry.radialCount / 2;
  const firstRadial = half * halfRadials;
  const counts = new Uint32Array(halfRadials);
  const { rows } = geometry;
  const radialsPerRad = geometry.radialCount / (2 * Math.PI);
  for (let index = 0; index < byRange.length; index++) {
    const cell = byRange[index];
    const row = cell >>> 16;
    const across = (cell & 0xffff) + 0.5 - rows.originColumn;
    const azimuth =
      Math.atan2(rows.eastPerColumnM[row] * across, rows.northM[row] as number) - rows.turnPerColumnRad[row] * across;
    const radial = Math.floor((half === 0 ? azimuth : azimuth + Math.PI) * radialsPerRad);
    const inHalf = radial < 0 ? 0 : radial >= halfRadials ? halfRadials - 1 : radial;
    radialOf[index] = inHalf;
    counts[inHalf] = counts[inHalf] + 1;
  }
  let next = offset;
  for (let radial = 0; radial < halfRadials; radial++) {
    plan.start[firstRadial + radial] = next;
    next += counts[radial];
    counts[radial] = next - counts[radial];
  }
  if (half === 1) plan.start[geometry.radialCount] = next;
  for (let index = 0; index < byRange.length; index++) {
    const radial = radialOf[index];
    const place = counts[radial];
    plan.cells[place] = byRange[index];
    counts[radial] = place + 1;
  }
}

/** The cells of a half in the order of their whole range steps, and an array as long that is free to be used again. */
function sortCellsByRange(
  area: SweepArea,
  geometry: SweepGeometry,
  half: PlanHalf,
): { byRange: Uint32Array; scratch: Uint16Array } {
  const { northM, eastPerColumnM, originColumn } = geometry.rows;
  const perStep = new Uint32Array(Math.ceil(geometry.radiusSteps) + 2);
  const total = countHalf(area, geometry, half);
  const steps = new Uint16Array(total);
  let index = 0;
  for (let row = 0; row < area.window.height; row++) {
    const [first, last] = findHalfColumns(area, geometry, half, row);
    const northSteps = northM[row] / geometry.stepM;
    const eastSteps = eastPerColumnM[row] / geometry.stepM;
    for (let column = first; column <= last; column++) {
      const east = eastSteps * (column + 0.5 - originColumn);
      const step = (Math.sqrt(east * east + northSteps * northSteps) + 0.5) | 0;
      steps[index++] = step;
      perStep[step] = perStep[step] + 1;
    }
  }
  let before = 0;
  for (let step = 0; step < perStep.length; step++) {
    const count = perStep[step];
    perStep[step] = before;
    before += count;
  }
  const sorted = new Uint32Array(total);
  index = 0;
  for (let row = 0; row < area.window.height; row++) {
    const [first, last] = findHalfColumns(area, geometry, half, row);
    for (let column = first; column <= last; column++) {
      const step = steps[index++];
      const place = perStep[step];
      perStep[step] = place + 1;
      sorted[place] = row * 65_536 + column;
    }
  }
  return { byRange: sorted, scratch: steps };
}
