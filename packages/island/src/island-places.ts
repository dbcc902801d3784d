import { EAST_M, type Island, NORTH_M, TILE_LAT, TILE_LON } from "./island-terrain.ts";

export interface Place {
  lon: number;
  lat: number;
  heightM: number;
}

/** A mast stands on the highest ground of the island's western third, another on that of its eastern third. */
export function mastPlaces(island: Island): { west: Place; east: Place } {
  const third = Math.round(island.width / 3);
  return {
    west: highestPlace(island, 0, third),
    east: highestPlace(island, island.width - third, island.width),
  };
}

function highestPlace(island: Island, fromColumn: number, toColumn: number): Place {
  const { width, height, heightsM } = island;
  let highest = fromColumn;
  for (let row = 0; row < height; row++) {
    for (let column = fromColumn; column < toColumn; column++) {
      if (heightsM[row * width + column] > heightsM[highest]) highest = row * width + column;
    }
  }
  return placeOf(island, highest);
}

/** Half the side of the square that must be flat for a hamlet, in samples: 16 of them are some 450 m. */
const FLAT_REACH = 8;
const HAMLETS_APART_M = 8_000;

/** Hamlets lie where people would build: on the flattest low ground, the flattest first, at least 8 km apart. */
export function hamletPlaces(island: Island, count: number): Place[] {
  const sites: { index: number; reliefM: number }[] = [];
  for (let row = FLAT_REACH; row < island.height - FLAT_REACH; row += FLAT_REACH) {
    for (let column = FLAT_REACH; column < island.width - FLAT_REACH; column += FLAT_REACH) {
      const index = row * island.width + column;
      const [lowestM, highestM] = heightRange(island, index);
      if (lowestM > 0 && highestM < 120) sites.push({ index, reliefM: highestM - lowestM });
    }
  }
  sites.sort((a, b) => a.reliefM - b.reliefM || a.index - b.index);
  const chosen: number[] = [];
  for (const { index } of sites) {
    const apart = chosen.every((other) => distanceM(island, index, other) >= HAMLETS_APART_M);
    if (apart && chosen.length < count) chosen.push(index);
  }
  return chosen.map((index) => placeOf(island, index));
}

/** Lowest and highest ground of the square around a sample. */
function heightRange({ width, heightsM }: Island, index: number): [number, number] {
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

function distanceM({ width }: Island, a: number, b: number): number {
  const eastM = ((a % width) - (b % width)) * EAST_M;
  const northM = (Math.floor(a / width) - Math.floor(b / width)) * NORTH_M;
  return Math.sqrt(eastM * eastM + northM * northM);
}

/** Longitude and latitude of a sample, to the seventh decimal (1 cm). */
function placeOf(island: Island, index: number): Place {
  const column = index % island.width;
  const row = Math.floor(index / island.width);
  return {
    lon: Number((TILE_LON + (island.col0 + column) / 3600).toFixed(7)),
    lat: Number((TILE_LAT + 1 - (island.row0 + row) / 3600).toFixed(7)),
    heightM: island.heightsM[index],
  };
}
