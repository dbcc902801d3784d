import { computeDistanceM, type Island, TILE_LAT, TILE_LON } from "./island-terrain.ts";
import { computeGroundOverLineM } from "./sight.ts";

export interface Place {
  /** Index of the sample of the island. */
  index: number;
  lon: number;
  lat: number;
  heightM: number;
}

export interface MastPlaces {
  west: Place;
  east: Place;
}

/** Heights of the masts and of the subscribers' antennas above ground. */
export const MAST_HEIGHT_M = 30;
export const CPE_HEIGHT_M = 6;

/** Service range of a mast. */
const REACH_M = 10_000;

/** Ground below this height is inhabited. */
const LOW_M = 150;

/** Steps in samples of the search for low ground and for summits: about 450 m and 700 m. */
const LOW_STEP = 16;
const SUMMIT_STEP = 24;

/**
 * Returns two mast places: the summit of the western third with a view of the most low ground, and the summit of the
 * eastern third that adds the most to it.
 */
export function findMastPlaces(island: Island): MastPlaces {
  const low = findLowGround(island);
  const third = Math.round(island.width / 3);
  const west = findBestSummit(island, 0, third, low);
  const unseen = low.filter((index) => !isVisible(island, west, index));
  const east = findBestSummit(island, island.width - third, island.width, unseen);
  return { west: toPlace(island, west), east: toPlace(island, east) };
}

function findLowGround({ width, height, heightsM }: Island): number[] {
  const low: number[] = [];
  for (let row = 0; row < height; row += LOW_STEP) {
    for (let index = row * width; index < (row + 1) * width; index += LOW_STEP) {
      if (heightsM[index] > 0 && heightsM[index] < LOW_M) low.push(index);
    }
  }
  return low;
}

function findBestSummit(island: Island, fromColumn: number, toColumn: number, low: number[]): number {
  let best = 0;
  let mostSeen = -1;
  for (let row = 0; row + SUMMIT_STEP <= island.height; row += SUMMIT_STEP) {
    for (let column = fromColumn; column + SUMMIT_STEP <= toColumn; column += SUMMIT_STEP) {
      const summit = findHighest(island, column, row);
      if (island.heightsM[summit] <= LOW_M) continue;
      const seen = low.reduce((count, index) => count + (isVisible(island, summit, index) ? 1 : 0), 0);
      if (seen > mostSeen) [best, mostSeen] = [summit, seen];
    }
  }
  return best;
}

/** Returns the highest sample of a square. */
function findHighest({ width, heightsM }: Island, column: number, row: number): number {
  let highest = row * width + column;
  for (let down = 0; down < SUMMIT_STEP; down++) {
    const start = (row + down) * width + column;
    for (let at = start; at < start + SUMMIT_STEP; at++) if (heightsM[at] > heightsM[highest]) highest = at;
  }
  return highest;
}

function isVisible(island: Island, mast: number, index: number): boolean {
  if (computeDistanceM(island, mast, index) > REACH_M) return false;
  return (
    computeGroundOverLineM(island, { index: mast, heightAglM: MAST_HEIGHT_M }, { index, heightAglM: CPE_HEIGHT_M }) < 0
  );
}

/** Half the side of the flat square of a hamlet, in samples: 16 of them are about 450 m. */
const FLAT_REACH = 8;
const HAMLETS_APART_M = 1_500;

/** Returns places of hamlets: the flattest low ground, the flattest first, at least 1.5 km apart. */
export function findHamletPlaces(island: Island): Place[] {
  const sites: { index: number; reliefM: number }[] = [];
  for (let row = FLAT_REACH; row < island.height - FLAT_REACH; row += FLAT_REACH) {
    for (let column = FLAT_REACH; column < island.width - FLAT_REACH; column += FLAT_REACH) {
      const index = row * island.width + column;
      const [lowestM, highestM] = findHeightRange(island, index);
      if (lowestM > 0 && highestM < LOW_M) sites.push({ index, reliefM: highestM - lowestM });
    }
  }
  sites.sort((a, b) => a.reliefM - b.reliefM || a.index - b.index);
  const chosen: number[] = [];
  for (const { index } of sites) {
    if (chosen.every((other) => computeDistanceM(island, index, other) >= HAMLETS_APART_M)) chosen.push(index);
  }
  return chosen.map((index) => toPlace(island, index));
}

/** Returns the lowest and highest ground of the square around a sample. */
function findHeightRange({ width, heightsM }: Island, index: number): [number, number] {
  let lowestM = heightsM[index];
  let highestM = lowestM;
  for (let down = -FLAT_REACH; down <= FLAT_REACH; down++) {
    const middle = index + down * width;
    for (let at = middle - FLAT_REACH; at <= middle + FLAT_REACH; at++) {
      lowestM = Math.min(lowestM, heightsM[at]);
      highestM = Math.max(highestM, heightsM[at]);
    }
  }
  return [lowestM, highestM];
}

/** Returns longitude and latitude of a sample, to the seventh decimal (1 cm). */
function toPlace(island: Island, index: number): Place {
  const column = index % island.width;
  const row = Math.floor(index / island.width);
  return {
    index,
    lon: Number((TILE_LON + (island.col0 + column) / 3600).toFixed(7)),
    lat: Number((TILE_LAT + 1 - (island.row0 + row) / 3600).toFixed(7)),
    heightM: island.heightsM[index],
  };
}
