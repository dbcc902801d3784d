import { mkdir, open, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { createIsland, type Island, TILE_SAMPLES } from "./island-terrain.ts";
import { woodsOf } from "./woods.ts";

/** Name of the island's tile, as such tiles are named: by the south-west corner. */
export const ISLAND_FILE = "S33W119.hgt";

/** Folder, and set, of the trees' heights. */
export const WOODS = "woods";

/** Says of the folder's heights that they are those of the ground itself, and of the woods' that they are of trees. */
const SETS = {
  version: 1,
  sets: [
    { name: "default", path: ".", kind: "bare" },
    { name: WOODS, path: WOODS, kind: "canopy" },
  ],
};

/** Writes the island's ground, what grows on it, and which is which, into a folder that is there. */
export async function writeIsland(directory: string): Promise<void> {
  const island = createIsland();
  await mkdir(join(directory, WOODS), { recursive: true });
  await writeTile(join(directory, ISLAND_FILE), island, island.heightsM);
  await writeTile(join(directory, WOODS, ISLAND_FILE), island, woodsOf(island));
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
    await file.write(tileRows(island, heightsM), 0, island.height * rowBytes, island.row0 * rowBytes);
    await file.truncate(TILE_SAMPLES * rowBytes);
  } finally {
    await file.close();
  }
}

/** The rows of the tile that hold the island, from its western to its eastern edge. */
function tileRows({ col0, width, height }: Island, heightsM: Int16Array): Buffer {
  const rows = Buffer.alloc(2 * TILE_SAMPLES * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      rows.writeInt16BE(heightsM[row * width + column], 2 * (row * TILE_SAMPLES + col0 + column));
    }
  }
  return rows;
}
