import { open, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { createIsland, type Island, TILE_SAMPLES } from "./island-terrain.ts";

/** Name of the island's tile, as such tiles are named: by the south-west corner. */
export const ISLAND_FILE = "S33W119.hgt";

/** Says of the folder's heights that they are those of the ground itself. */
const SETS = { version: 1, sets: [{ name: "default", path: ".", kind: "bare" }] };

/**
 * Writes the island as an elevation tile of one arc second (3601 x 3601 heights of 16 bits, high byte first, north row
 * first; sea is 0) into a folder that is there. The sea north and south of it is left to the file system as a hole.
 */
export async function writeIsland(directory: string): Promise<void> {
  const island = createIsland();
  const rowBytes = 2 * TILE_SAMPLES;
  const file = await open(join(directory, ISLAND_FILE), "w");
  try {
    await file.write(tileRows(island), 0, island.height * rowBytes, island.row0 * rowBytes);
    await file.truncate(TILE_SAMPLES * rowBytes);
  } finally {
    await file.close();
  }
  await writeFile(join(directory, "terrain.json"), `${JSON.stringify(SETS)}\n`);
}

/** The rows of the tile that hold the island, from its western to its eastern edge. */
function tileRows({ col0, width, height, heightsM }: Island): Buffer {
  const rows = Buffer.alloc(2 * TILE_SAMPLES * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      rows.writeInt16BE(heightsM[row * width + column], 2 * (row * TILE_SAMPLES + col0 + column));
    }
  }
  return rows;
}
