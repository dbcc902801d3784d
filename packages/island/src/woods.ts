import { findHamletPlaces, findMastPlaces } from "./island-places.ts";
import { computeDistanceM, EAST_M, type Island, NORTH_M } from "./island-terrain.ts";
import { computeFractalNoise, computeSmoothStep } from "./noise.ts";

/** Heights of the wood: fields lie below, bare ground above; woods are thickest in between. */
const SHORE_M = 12;
const THICK_FROM_M = 70;
const THICK_TO_M = 240;
const TREE_LINE_M = 420;

/** Noise above this value is wood where woods are thickest: about two fifths of the ground. */
const THICKEST = 0.1;

/** Clearings around hamlets and masts; woods thin out towards them. */
const HAMLET_CLEAR_M = 300;
const MAST_CLEAR_M = 120;

const LEAST_TREE_M = 7;
const MOST_TREE_M = 17;

/** Returns the tree heights on an island in whole metres, 0 without trees, on the samples of its ground. */
export function growWoods(island: Island): Int16Array {
  const { width, heightsM, seed } = island;
  const clear = listClearings(island);
  const treesM = new Int16Array(heightsM.length);
  for (let index = 0; index < treesM.length; index++) {
    const share = computeThickness(heightsM[index]);
    if (share === 0) continue;
    const column = index % width;
    const x = (column * EAST_M) / 1000;
    const y = ((index - column) / width) * (NORTH_M / 1000);
    const depth = computeFractalNoise(x / 1.1, y / 1.1, seed + 1100, 4) - THICKEST - 0.9 * (1 - share);
    if (depth <= 0) continue;
    const kept = Math.min(
      ...clear.map((place) => depth - computeThinning(computeDistanceM(island, place.index, index), place.radiusM)),
    );
    if (kept <= 0) continue;
    treesM[index] = Math.round(LEAST_TREE_M + (MOST_TREE_M - LEAST_TREE_M) * computeSmoothStep(0, 0.6, kept));
  }
  return treesM;
}

/** Returns the thickness of the wood at a height, 0 to 1. */
function computeThickness(heightM: number): number {
  return computeSmoothStep(SHORE_M, THICK_FROM_M, heightM) * (1 - computeSmoothStep(THICK_TO_M, TREE_LINE_M, heightM));
}

/** Returns the thinning of a wood near people: complete at half the radius of their clearing. */
function computeThinning(awayM: number, radiusM: number): number {
  return 2 * (1 - computeSmoothStep(0.5 * radiusM, 2 * radiusM, awayM));
}

function listClearings(island: Island): { index: number; radiusM: number }[] {
  const { west, east } = findMastPlaces(island);
  return [
    ...findHamletPlaces(island).map(({ index }) => ({ index, radiusM: HAMLET_CLEAR_M })),
    ...[west, east].map(({ index }) => ({ index, radiusM: MAST_CLEAR_M })),
  ];
}
