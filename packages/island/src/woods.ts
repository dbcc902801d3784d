import { hamletPlaces, mastPlaces } from "./island-places.ts";
import { distanceM, EAST_M, type Island, NORTH_M } from "./island-terrain.ts";
import { fractalNoise, smoothStep } from "./noise.ts";

/** Fields lie below, bare heights above; between them woods are thickest in the middle. */
const SHORE_M = 12;
const THICK_FROM_M = 70;
const THICK_TO_M = 240;
const TREE_LINE_M = 420;

/** Noise above this is wood where woods are thickest: some two fifths of the ground there. */
const THICKEST = 0.1;

/** People keep the ground around hamlets and masts clear; woods thin out towards it. */
const HAMLET_CLEAR_M = 300;
const MAST_CLEAR_M = 120;

const LEAST_TREE_M = 7;
const MOST_TREE_M = 17;

/** Heights of the trees on an island in whole metres, 0 where none stand; on the samples of its ground. */
export function woodsOf(island: Island): Int16Array {
  const { width, heightsM, seed } = island;
  const clear = clearings(island);
  const treesM = new Int16Array(heightsM.length);
  for (let index = 0; index < treesM.length; index++) {
    const share = thicknessAt(heightsM[index]);
    if (share === 0) continue;
    const column = index % width;
    const x = (column * EAST_M) / 1000;
    const y = ((index - column) / width) * (NORTH_M / 1000);
    const depth = fractalNoise(x / 1.1, y / 1.1, seed + 1100, 4) - THICKEST - 0.9 * (1 - share);
    if (depth <= 0) continue;
    const kept = Math.min(
      ...clear.map((place) => depth - thinning(distanceM(island, place.index, index), place.radiusM)),
    );
    if (kept <= 0) continue;
    treesM[index] = Math.round(LEAST_TREE_M + (MOST_TREE_M - LEAST_TREE_M) * smoothStep(0, 0.6, kept));
  }
  return treesM;
}

/** How well trees grow at a height, 0 to 1. */
function thicknessAt(heightM: number): number {
  return smoothStep(SHORE_M, THICK_FROM_M, heightM) * (1 - smoothStep(THICK_TO_M, TREE_LINE_M, heightM));
}

/** What nearness to people takes from the depth of a wood: all of it at half the radius of their clearing. */
function thinning(awayM: number, radiusM: number): number {
  return 2 * (1 - smoothStep(0.5 * radiusM, 2 * radiusM, awayM));
}

function clearings(island: Island): { index: number; radiusM: number }[] {
  const { west, east } = mastPlaces(island);
  return [
    ...hamletPlaces(island).map(({ index }) => ({ index, radiusM: HAMLET_CLEAR_M })),
    ...[west, east].map(({ index }) => ({ index, radiusM: MAST_CLEAR_M })),
  ];
}
