import { mkdir, open, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { createIsland, type Island, TILE_SAMPLES } from "./island-terrain.ts";
import { growWoods } from "./woods.ts";

/** Name of the island's tile by its south-west corner, as usual for such tiles. */
export const ISLAND_FILE = "S33W119.hgt";

/** Folder and terrain set of the tree heights. */
export const WOODS = "woods";

/** Declares the folder's heights as bare ground, and those of the woods as tree heights. */
const SETS = {
  version: 1,
  sets: [
    { name: "default", path: ".", kind: "bare" },
    { name: WOODS, path: WOODS, kind: "canopy" },
  ],
};

/** Writes ground, trees and their declaration into an existing folder. */
export async function writeIsland(directory: string): Promise<void> {
  const island = createIsland();
  await mkdir(join(directory, WOODS), { recursive: true });
  await writeTile(join(directory, ISLAND_FILE), island, island.heightsM);
  await writeTile(join(directory, WOODS, ISLAND_FILE), island, growWoods(island));
  await writeFile(join(directory, "terrain.json"), `${JSON.stringify(SETS)}\n`);
}

/**
 * Writes a tile of one arc second: 3601 x 3601 heights of 16 bits, high byte first, north row first; sea is 0. The sea
 * north and south of the island is left to the file system as a hole.
 */
async function writeTile(path: string, island: Island, heightsM: Int16Array): Promise<void> {
  const rowBytes = 2 * TILE_SAMPLES;
  const file = await open(path, "w");
  try {
    await file.write(encodeTileRows(island, heightsM), 0, island.height * rowBytes, island.row0 * rowBytes);
    await file.truncate(TILE_SAMPLES * rowBytes);
  } finally {
    await file.close();
  }
}

/** Returns the rows of the tile that contain the island, from the western to the eastern edge of the tile. */
function encodeTileRows({ col0, width, height }: Island, heightsM: Int16Array): Buffer {
  const rows = Buffer.alloc(2 * TILE_SAMPLES * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      rows.writeInt16BE(heightsM[row * width + column], 2 * (row * TILE_SAMPLES + col0 + column));
    }
  }
  return rows;
}
