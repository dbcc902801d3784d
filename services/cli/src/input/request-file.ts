import { readFile } from "node:fs/promises";
import { MODEL_VERSION } from "@fellmark/coverage";
import {
  type AdviceRequest,
  type BatchRequest,
  type ComparisonRequest,
  type CoverageRequest,
  computeJobId,
  parseCoverageRequest,
  parseJsonText,
  toCanonicalJson,
} from "@fellmark/network";
import { FellmarkError, InputError } from "@fellmark/units";

/** Tenant of work done without a server. */
export const TENANT = "default";

/** Reads JSON from a file. Throws InputError where it cannot be read or is not JSON, with line and column. */
export async function readJson(path: string): Promise<unknown> {
  return parseJsonText(await readBytes(path), path);
}

/** Reads a file as UTF-8. Throws InputError where it cannot be read. */
export async function readText(path: string): Promise<string> {
  return new TextDecoder().decode(await readBytes(path));
}

const READ_FAULTS: Readonly<Record<string, string>> = {
  ENOENT: "not found: no such file",
  EISDIR: "it is a folder",
  EACCES: "permission denied",
};

async function readBytes(path: string): Promise<Uint8Array> {
  return readFile(path).catch((error: NodeJS.ErrnoException) => {
    const reason = READ_FAULTS[error.code ?? ""] ?? error.message;
    throw new InputError([{ pointer: "", detail: `${path} cannot be read: ${reason}` }]);
  });
}

export async function readRequest(path: string): Promise<CoverageRequest> {
  return parseCoverageRequest(await readJson(path));
}

/** True for a network, which has a list of CPEs; false for a coverage request, which has one. */
export function isNetwork(document: unknown): boolean {
  return typeof document === "object" && document !== null && "cpes" in document;
}

/** Returns the id that the same request has over HTTP. */
export function findJobId(
  request: CoverageRequest | ComparisonRequest | AdviceRequest | BatchRequest,
  terrainFingerprint: string,
): string {
  return computeJobId({
    tenant: TENANT,
    canonicalRequest: toCanonicalJson(request),
    modelVersion: MODEL_VERSION,
    terrainFingerprint,
  });
}

/** Throws FellmarkError where a folder has no usable raster. */
export function requireTerrain(terrain: { tiles: number; refused: { name: string; reason: string }[] }, dir: string) {
  if (terrain.tiles > 0) return;
  const reasons = terrain.refused.map(({ name, reason }) => `${name}: ${reason}`).join("; ");
  throw new FellmarkError("terrain_empty", `no usable raster in ${dir}${reasons ? ` (${reasons})` : ""}`);
}
