import { erode } from "./erosion.ts";
import { createGrid, type Grid, interpolateBicubic, readNearest } from "./grid.ts";
import { computeFractalNoise, computeSmoothStep } from "./noise.ts";

/** South-west corner of the one-degree tile of the island: the open South Pacific, 1,000 km from any land. */
export const TILE_LON = -119;
export const TILE_LAT = -33;

/** Ground size of one arc second on WGS84 at the island's latitude, 32.5 degrees south. */
export const EAST_M = 26.105;
export const NORTH_M = 30.804;

/** Samples along one side of a tile of one arc second, both edges included. */
export const TILE_SAMPLES = 3601;

/** Sample (column, row) of the tile at the origin of the island's own frame: the middle. */
const MIDDLE_SAMPLE = 1800;

/** Part of the tile with the island: whole-metre heights above the sea, 0 for sea; row-major, north row first. */
export interface Island {
  seed: number;
  /** Tile column and row of the first sample. */
  col0: number;
  row0: number;
  width: number;
  height: number;
  heightsM: Int16Array;
}

/** Returns the ground distance between two samples of the island. */
export function computeDistanceM({ width }: Island, a: number, b: number): number {
  const eastM = ((a % width) - (b % width)) * EAST_M;
  const northM = (Math.floor(a / width) - Math.floor(b / width)) * NORTH_M;
  return Math.sqrt(eastM * eastM + northM * northM);
}

const HALF_WIDTH_M = 15_000;
const HALF_HEIGHT_M = 11_500;
const COARSE_M = 150;
const SUMMIT_M = 690;

/** Width of the strip of shore in which cliffs fall to the sea, in units of `inland`: about 200 m. */
const CLIFF = 0.018;

/** Largest loss of land at the most exposed shore, in the same unit. */
const WORN_BACK = 0.1;

/** Below this value of `inland` there is open sea for every distortion of the place. */
const FAR_OUT = -0.1;

const EROSION_STEPS = 80;

/** Land at steps of 150 m: height, and inland position (0 on the shore, 1 in the centre, negative at sea). */
interface CoarseLand {
  heights: Grid;
  inland: Grid;
}

/** Cache of the last island: its files, its request and its addresses need the same one in turn. */
let latest: Island | undefined;

/**
 * Returns the invented island of a seed, about 23 km by 20 km: an outline from noise, valleys cut by rivers on a grid of
 * 150 m, then fine relief and sea cliffs at one arc second. The same bytes on every machine: it uses only + - * /, square
 * roots and integer hashes.
 */
export function createIsland(seed = 1): Island {
  if (latest?.seed !== seed) latest = makeIsland(seed);
  return latest;
}

function makeIsland(seed: number): Island {
  const coarse = buildCoarseLand(seed);
  const col0 = MIDDLE_SAMPLE - Math.ceil(HALF_WIDTH_M / EAST_M);
  const row0 = MIDDLE_SAMPLE - Math.ceil(HALF_HEIGHT_M / NORTH_M);
  const width = 2 * (MIDDLE_SAMPLE - col0) + 1;
  const height = 2 * (MIDDLE_SAMPLE - row0) + 1;
  const heightsM = new Int16Array(width * height);
  for (let row = 0; row < height; row++) {
    const northKm = ((MIDDLE_SAMPLE - row0 - row) * NORTH_M) / 1000;
    for (let column = 0; column < width; column++) {
      const eastKm = ((col0 + column - MIDDLE_SAMPLE) * EAST_M) / 1000;
      heightsM[row * width + column] = Math.round(computeFineHeightM(coarse, eastKm, northKm, seed));
    }
  }
  return { seed, col0, row0, width, height, heightsM };
}

/** Returns the inland position of a place: an ellipse distorted by noise, its shore varied by finer noise. */
function computeInland(x: number, y: number, seed: number): number {
  const along = (x + 2.6 * computeFractalNoise(x / 7, y / 7, seed + 100, 3)) / 12.2;
  const across = (y - 0.12 * x + 2.6 * computeFractalNoise(x / 7, y / 7, seed + 200, 3)) / 8.6;
  return 1 - Math.sqrt(along * along + across * across) + 0.22 * computeFractalNoise(x / 4.5, y / 4.5, seed + 300, 4);
}

function buildCoarseLand(seed: number): CoarseLand {
  const heights = createGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M);
  const inland = createGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M);
  const upliftM = createGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M).values;
  const softness = createGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M).values;
  for (let cell = 0; cell < upliftM.length; cell++) {
    const column = cell % heights.width;
    const x = ((column - (heights.width - 1) / 2) * COARSE_M) / 1000;
    const y = (((heights.height - 1) / 2 - (cell - column) / heights.width) * COARSE_M) / 1000;
    const depth = computeInland(x, y, seed);
    const exposure = computeSmoothStep(-0.8, 1.2, computeFractalNoise(x / 6, y / 6, seed + 900, 2) - x / 8);
    inland.values[cell] = depth - WORN_BACK * exposure;
    softness[cell] = 1 + 0.45 * computeFractalNoise(x / 2.5, y / 2.5, seed + 500, 3);
    if (depth <= 0) continue;
    upliftM[cell] = computeSmoothStep(-0.25, 0.7, depth) * (1 + 0.5 * computeFractalNoise(x / 5, y / 5, seed + 400, 3));
    heights.values[cell] = 1 + 0.5 * computeFractalNoise(x, y, seed + 600, 4);
  }
  erode(heights, { upliftM, softness, steps: EROSION_STEPS });
  const highestM = heights.values.reduce((highest, heightM) => Math.max(highest, heightM), 0);
  for (let cell = 0; cell < upliftM.length; cell++) heights.values[cell] *= SUMMIT_M / highestM;
  return { heights, inland };
}

/** Returns the height of the coarse land at a distorted place, which hides its grid; rougher and steeper at height. */
function computeFineHeightM({ heights, inland }: CoarseLand, x: number, y: number, seed: number): number {
  if (readNearest(inland, 1000 * x, 1000 * y) < FAR_OUT) return 0;
  const eastM = 1000 * x + 120 * computeFractalNoise(x / 0.8, y / 0.8, seed + 700, 2);
  const northM = 1000 * y + 120 * computeFractalNoise(x / 0.8, y / 0.8, seed + 800, 2);
  const shore = interpolateBicubic(inland, eastM, northM);
  if (shore <= 0) return 0;
  const heightM = interpolateBicubic(heights, eastM, northM);
  const roughM = 14 * computeFractalNoise(x / 0.45, y / 0.45, seed + 1000, 4) * computeSmoothStep(0, 200, heightM);
  return Math.max(1, (heightM + roughM) * computeSmoothStep(0, CLIFF, shore));
}
