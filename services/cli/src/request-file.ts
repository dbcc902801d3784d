import { readFile } from "node:fs/promises";
import { MODEL_VERSION } from "@fellmark/coverage";
import {
  type AdviceRequest,
  type BatchRequest,
  type ComparisonRequest,
  type CoverageRequest,
  canonicalJson,
  jobIdOf,
  parseCoverageRequest,
} from "@fellmark/network";
import { FellmarkError, InputError } from "@fellmark/units";

/** Tenant of work done without a server. */
export const TENANT = "default";

/** JSON from a file. Throws InputError where it cannot be read or is no JSON. */
export async function readJson(path: string): Promise<unknown> {
  const text = await readFile(path, "utf8").catch((error: Error) => {
    throw new InputError([{ pointer: "", detail: `${path} cannot be read: ${error.message}` }]);
  });
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new InputError([
      { pointer: "", detail: `${path} is not JSON: ${error instanceof Error ? error.message : ""}` },
    ]);
  }
}

export async function readRequest(path: string): Promise<CoverageRequest> {
  return parseCoverageRequest(await readJson(path));
}

/** Whether a document is a network, which has CPEs, and no coverage request, which has one CPE. */
export function isNetwork(document: unknown): boolean {
  return typeof document === "object" && document !== null && "cpes" in document;
}

/** The id that the same question has over HTTP. */
export function idOf(
  request: CoverageRequest | ComparisonRequest | AdviceRequest | BatchRequest,
  terrainFingerprint: string,
): string {
  return jobIdOf({
    tenant: TENANT,
    canonicalRequest: canonicalJson(request),
    modelVersion: MODEL_VERSION,
    terrainFingerprint,
  });
}

/** A folder without a single usable raster cannot answer anything. */
export function requireTerrain(terrain: { tiles: number; refused: { name: string; reason: string }[] }, dir: string) {
  if (terrain.tiles > 0) return;
  const reasons = terrain.refused.map(({ name, reason }) => `${name}: ${reason}`).join("; ");
  throw new FellmarkError("terrain_empty", `no usable raster in ${dir}${reasons ? ` (${reasons})` : ""}`);
}
