import { openCatalogue, type TerrainCatalogue } from "@fellmark/terrain";
import { FellmarkError, TerrainError } from "@fellmark/units";

/** Terrain that a task was accepted over. */
export interface TerrainPin {
  terrainDir: string;
  /** Catalogue version at that time; absent: the one that is found. */
  terrainFingerprint?: string;
}

/**
 * Has work done over the terrain of a task, the same from start to end. Throws TerrainError 'source_changed' when the
 * catalogue differs from that of the task at the start or at the end, whatever the work came to: a tile that is
 * missing, half copied or replaced says nothing about the request.
 */
export async function runOverPinnedTerrain<T>(
  pin: TerrainPin,
  work: (catalogue: TerrainCatalogue) => Promise<T>,
): Promise<T> {
  const catalogue = await openPinned(pin);
  const requireSame = () => openPinned({ terrainDir: pin.terrainDir, terrainFingerprint: catalogue.fingerprint });
  let result: T;
  try {
    result = await work(catalogue);
  } catch (error) {
    await requireSame();
    throw error;
  }
  await requireSame();
  return result;
}

async function openPinned({ terrainDir, terrainFingerprint }: TerrainPin): Promise<TerrainCatalogue> {
  const catalogue = await openCatalogue(terrainDir).catch((error: unknown) => {
    const isUnusable = error instanceof FellmarkError && terrainFingerprint !== undefined;
    throw isUnusable ? createChangedError(error) : error;
  });
  if (terrainFingerprint !== undefined && catalogue.fingerprint !== terrainFingerprint) throw createChangedError();
  return catalogue;
}

function createChangedError(cause?: unknown): TerrainError {
  const detail = "the terrain changed after the request was accepted; submit the request again";
  return new TerrainError("source_changed", detail, { cause });
}
