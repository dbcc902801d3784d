import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";

/** Samples a side of a 3-arc-second tile, shared edges included. */
const SIDE = 1201;

/** Where the tile below lies: open ocean, so that nobody takes it for a real place. */
export const TINY_TILE = { west: -40, south: 20, name: "N20W040.hgt" };

/** Writes one 3" tile of invented ground into the folder: a ridge from south to north, 100 to 400 m, no voids. */
export function writeTinyTerrain(dir: string): void {
  const heights = Buffer.alloc(SIDE * SIDE * 2);
  const ridge = Float64Array.from({ length: SIDE }, (_, col) => 300 * Math.exp(-(((col - 600) / 120) ** 2)));
  const bumps = Float64Array.from({ length: SIDE }, (_, col) => Math.sin(col / 23));
  for (let row = 0; row < SIDE; row++) {
    const bumpM = 20 * Math.sin(row / 17);
    for (let col = 0; col < SIDE; col++) {
      heights.writeInt16BE(Math.round(100 + ridge[col] + bumpM * bumps[col]), (row * SIDE + col) * 2);
    }
  }
  mkdirSync(dir, { recursive: true });
  writeFileSync(path.join(dir, TINY_TILE.name), heights);
}
