import { computeDrainage } from "./drainage.ts";
import type { Grid } from "./grid.ts";

export interface Rising {
  /** Metres that each cell rises in one step; 0 marks sea. */
  upliftM: Float64Array;
  /** Erodibility of each cell, about 1. */
  softness: Float64Array;
  steps: number;
}

/** Erosion rate: after about 100 steps the valleys of an island 20 km wide have their full depth. */
const CUTTING = 0.08;

/** Share of the difference to its four neighbours that soil creep removes in one step. */
const CREEP = 0.03;

/**
 * Simulates uplift, river erosion and soil creep; changes `grid` in place.
 * Rivers cut by stream power, dz/dt = uplift - K sqrt(area) slope, solved implicitly from the sea upwards, so any step
 * length is stable (J. Braun, S. Willett, "A very efficient O(n) ... method to solve the stream power equation",
 * Geomorphology 180, 2013, equation 22 with m = 1/2, n = 1).
 */
export function erode(grid: Grid, rising: Rising): void {
  for (let step = 0; step < rising.steps; step++) {
    cutValleys(grid, rising);
    spreadSoil(grid, rising.upliftM);
  }
}

function cutValleys(grid: Grid, { upliftM, softness }: Rising): void {
  const { values, width } = grid;
  const { order, receiver } = computeDrainage(grid);
  const areaCells = new Float64Array(values.length).fill(1);
  for (let at = order.length - 1; at >= 0; at--) areaCells[receiver[order[at]]] += areaCells[order[at]];
  for (const cell of order) {
    const down = receiver[cell];
    const away = Math.abs(cell - down);
    const straight = away === 1 || away === width;
    const cut = CUTTING * softness[cell] * Math.sqrt(areaCells[cell]) * (straight ? 1 : Math.SQRT1_2);
    const risenM = values[cell] + upliftM[cell];
    values[cell] = Math.min(risenM, (risenM + cut * values[down]) / (1 + cut));
  }
}

function spreadSoil({ values, width }: Grid, upliftM: Float64Array): void {
  const before = values.slice();
  for (let cell = width; cell < before.length - width; cell++) {
    if (upliftM[cell] === 0) continue;
    const around = before[cell - 1] + before[cell + 1] + before[cell - width] + before[cell + width];
    values[cell] += CREEP * (around - 4 * before[cell]);
  }
}
