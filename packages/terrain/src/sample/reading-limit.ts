import type { TerrainFile } from "../catalogue/terrain-file.ts";

/** Cells that are read of files of any size, in 2 s of one core. */
const ALWAYS_CELLS = 100_000_000;

/** Cells of a byte of larger files. Heights have 0.3 to 3, land cover up to 30; deflate can make 1,032 of nothing but zeros. */
const CELLS_PER_BYTE = 32;

/** Returns the most cells that are read of files at a time: a few kilobytes must not take minutes. */
export function computeReadingLimit(files: readonly Pick<TerrainFile, "identity">[]): number {
  const bytes = files.reduce((sum, { identity }) => sum + identity.sizeBytes, 0);
  return Math.max(ALWAYS_CELLS, CELLS_PER_BYTE * bytes);
}
