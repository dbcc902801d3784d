import { erode } from "./erosion.ts";
import { bicubic, type Grid, nearest, newGrid } from "./grid.ts";
import { fractalNoise, smoothStep } from "./noise.ts";

/** South-west corner of the one-degree tile that holds the island: the open South Pacific, 1,000 km from any land. */
export const TILE_LON = -119;
export const TILE_LAT = -33;

/** Ground size of one arc second on WGS84 at the island's latitude, 32.5 degrees south. */
export const EAST_M = 26.105;
export const NORTH_M = 30.804;

/** Samples along one side of a tile of one arc second, both edges included. */
export const TILE_SAMPLES = 3601;

/** Sample (column, row) of the tile at which the island's own frame has its origin: the middle. */
const MIDDLE_SAMPLE = 1800;

/** The island's part of its tile: whole-metre heights above the sea, 0 for sea; row-major, north row first. */
export interface Island {
  seed: number;
  /** Tile column and row of the first sample. */
  col0: number;
  row0: number;
  width: number;
  height: number;
  heightsM: Int16Array;
}

/** Ground distance between two samples of the island. */
export function distanceM({ width }: Island, a: number, b: number): number {
  const eastM = ((a % width) - (b % width)) * EAST_M;
  const northM = (Math.floor(a / width) - Math.floor(b / width)) * NORTH_M;
  return Math.sqrt(eastM * eastM + northM * northM);
}

const HALF_WIDTH_M = 15_000;
const HALF_HEIGHT_M = 11_500;
const COARSE_M = 150;
const SUMMIT_M = 690;

/** Strip of shore, in the measure of `inland`, over which cliffs fall to the sea: about 200 m. */
const CLIFF = 0.018;

/** How much of the land the sea has eaten where the shore is most exposed, in the same measure. */
const WORN_BACK = 0.1;

/** Where `inland` is less there is open sea, however the place is bent. */
const FAR_OUT = -0.1;

const EROSION_STEPS = 80;

/** The land at 150 m: how high, and how far inland (0 on the shore, 1 at the heart, negative at sea). */
interface CoarseLand {
  heights: Grid;
  inland: Grid;
}

/** The island made last: writing it, its request and its addresses ask for the same one in turn. */
let latest: Island | undefined;

/**
 * The invented island of a seed, about 23 km by 20 km: an outline from noise, valleys cut into it by rivers on a grid
 * of 150 m, then fine relief and sea cliffs at one arc second. The same bytes on every machine: nothing but + - * /,
 * square roots and integer hashes goes in.
 */
export function createIsland(seed = 1): Island {
  if (latest?.seed !== seed) latest = makeIsland(seed);
  return latest;
}

function makeIsland(seed: number): Island {
  const coarse = coarseLand(seed);
  const col0 = MIDDLE_SAMPLE - Math.ceil(HALF_WIDTH_M / EAST_M);
  const row0 = MIDDLE_SAMPLE - Math.ceil(HALF_HEIGHT_M / NORTH_M);
  const width = 2 * (MIDDLE_SAMPLE - col0) + 1;
  const height = 2 * (MIDDLE_SAMPLE - row0) + 1;
  const heightsM = new Int16Array(width * height);
  for (let row = 0; row < height; row++) {
    const northKm = ((MIDDLE_SAMPLE - row0 - row) * NORTH_M) / 1000;
    for (let column = 0; column < width; column++) {
      const eastKm = ((col0 + column - MIDDLE_SAMPLE) * EAST_M) / 1000;
      heightsM[row * width + column] = Math.round(fineHeightM(coarse, eastKm, northKm, seed));
    }
  }
  return { seed, col0, row0, width, height, heightsM };
}

/** How far inland a place is: an ellipse bent by noise, its shore pushed in and out by finer noise. */
function inlandAt(x: number, y: number, seed: number): number {
  const along = (x + 2.6 * fractalNoise(x / 7, y / 7, seed + 100, 3)) / 12.2;
  const across = (y - 0.12 * x + 2.6 * fractalNoise(x / 7, y / 7, seed + 200, 3)) / 8.6;
  return 1 - Math.sqrt(along * along + across * across) + 0.22 * fractalNoise(x / 4.5, y / 4.5, seed + 300, 4);
}

function coarseLand(seed: number): CoarseLand {
  const heights = newGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M);
  const inland = newGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M);
  const upliftM = newGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M).values;
  const softness = newGrid(HALF_WIDTH_M, HALF_HEIGHT_M, COARSE_M).values;
  for (let cell = 0; cell < upliftM.length; cell++) {
    const column = cell % heights.width;
    const x = ((column - (heights.width - 1) / 2) * COARSE_M) / 1000;
    const y = (((heights.height - 1) / 2 - (cell - column) / heights.width) * COARSE_M) / 1000;
    const depth = inlandAt(x, y, seed);
    const exposure = smoothStep(-0.8, 1.2, fractalNoise(x / 6, y / 6, seed + 900, 2) - x / 8);
    inland.values[cell] = depth - WORN_BACK * exposure;
    softness[cell] = 1 + 0.45 * fractalNoise(x / 2.5, y / 2.5, seed + 500, 3);
    if (depth <= 0) continue;
    upliftM[cell] = smoothStep(-0.25, 0.7, depth) * (1 + 0.5 * fractalNoise(x / 5, y / 5, seed + 400, 3));
    heights.values[cell] = 1 + 0.5 * fractalNoise(x, y, seed + 600, 4);
  }
  erode(heights, { upliftM, softness, steps: EROSION_STEPS });
  const highestM = heights.values.reduce((highest, heightM) => Math.max(highest, heightM), 0);
  for (let cell = 0; cell < upliftM.length; cell++) heights.values[cell] *= SUMMIT_M / highestM;
  return { heights, inland };
}

/** The coarse land read at a bent place, so that no straight line of its grid shows; rougher and steeper up high. */
function fineHeightM({ heights, inland }: CoarseLand, x: number, y: number, seed: number): number {
  if (nearest(inland, 1000 * x, 1000 * y) < FAR_OUT) return 0;
  const eastM = 1000 * x + 120 * fractalNoise(x / 0.8, y / 0.8, seed + 700, 2);
  const northM = 1000 * y + 120 * fractalNoise(x / 0.8, y / 0.8, seed + 800, 2);
  const shore = bicubic(inland, eastM, northM);
  if (shore <= 0) return 0;
  const heightM = bicubic(heights, eastM, northM);
  const roughM = 14 * fractalNoise(x / 0.45, y / 0.45, seed + 1000, 4) * smoothStep(0, 200, heightM);
  return Math.max(1, (heightM + roughM) * smoothStep(0, CLIFF, shore));
}
