import { openCatalogue, type TerrainCatalogue } from "@fellmark/terrain";

/** Time for which a catalogue counts as fresh, ms: looking at every file again takes as long as an answer. */
const FRESH_MS = 1000;

/** Opens terrain folders, each at most once a second. */
export function createRecentCatalogues(nowMs: () => number = () => performance.now()) {
  const opened = new Map<string, { atMs: number; catalogue: Promise<TerrainCatalogue> }>();
  return function catalogueOf(dir: string): Promise<TerrainCatalogue> {
    const recent = opened.get(dir);
    if (recent && nowMs() - recent.atMs < FRESH_MS) return recent.catalogue;
    const catalogue = openCatalogue(dir);
    opened.set(dir, { atMs: nowMs(), catalogue });
    // What could not be opened is tried again.
    catalogue.catch(() => opened.delete(dir));
    return catalogue;
  };
}
