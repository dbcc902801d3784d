import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { openCatalogue, type TerrainCatalogue } from "../catalogue/open-catalogue.ts";

/** Runs `use` on a new folder with these files, and removes it. */
export async function useFolder<T>(
  files: Record<string, Buffer | string>,
  use: (path: string) => T | Promise<T>,
): Promise<T> {
  const path = mkdtempSync(join(tmpdir(), "fellmark-terrain-"));
  try {
    for (const [name, content] of Object.entries(files)) {
      mkdirSync(dirname(join(path, name)), { recursive: true });
      writeFileSync(join(path, name), content);
    }
    return await use(path);
  } finally {
    rmSync(path, { recursive: true, force: true });
  }
}

/** Runs `use` on the catalogue of a new folder with these files. */
export function useCatalogue<T>(
  files: Record<string, Buffer | string>,
  use: (catalogue: TerrainCatalogue) => T | Promise<T>,
): Promise<T> {
  return useFolder(files, async (path) => use(await openCatalogue(path)));
}
