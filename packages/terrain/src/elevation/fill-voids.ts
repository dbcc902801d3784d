/** Search distance for known ground around a void cell, cells; a void wider than twice this stays. */
const REACH_CELLS = 24;

/** Least number of the eight directions with known ground: voids are interpolated, never extrapolated. */
const LEAST_DIRECTIONS = 6;

const DIRECTIONS = [
  [1, 0],
  [1, 1],
  [0, 1],
  [-1, 1],
  [-1, 0],
  [-1, -1],
  [0, -1],
  [1, -1],
] as const;

/**
 * Fills small voids in place and returns the number of cells filled.
 * Each cell takes the mean of the nearest known ground in eight directions, weighted by the inverse square of the distance
 * (Shepard, 23rd ACM National Conference, 1968). A cell's value does not depend on other filled cells.
 */
export function fillVoids(heightsAmslM: Float32Array, width: number, height: number): number {
  const filled: { cell: number; heightAmslM: number }[] = [];
  for (let cell = 0; cell < width * height; cell++) {
    if (!Number.isNaN(heightsAmslM[cell])) continue;
    const heightAmslM = averageNearestGround(heightsAmslM, width, height, cell);
    if (!Number.isNaN(heightAmslM)) filled.push({ cell, heightAmslM });
  }
  for (const { cell, heightAmslM } of filled) heightsAmslM[cell] = heightAmslM;
  return filled.length;
}

function averageNearestGround(heightsAmslM: Float32Array, width: number, height: number, cell: number): number {
  const column = cell % width;
  const row = (cell - column) / width;
  let directions = 0;
  let sum = 0;
  let weights = 0;
  for (const [right, down] of DIRECTIONS) {
    for (let step = 1; step <= REACH_CELLS; step++) {
      const [c, r] = [column + right * step, row + down * step];
      if (c < 0 || r < 0 || c >= width || r >= height) break;
      const known = heightsAmslM[r * width + c] as number;
      if (Number.isNaN(known)) continue;
      const weight = 1 / (step * step * (right * right + down * down));
      directions++;
      sum += weight * known;
      weights += weight;
      break;
    }
  }
  return directions >= LEAST_DIRECTIONS ? sum / weights : Number.NaN;
}
