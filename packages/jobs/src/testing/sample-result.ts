import { createHash } from "node:crypto";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { CoverTask } from "@fellmark/compute";
import type { ResultFile } from "@fellmark/ledger";

/** Writes a result that depends on the request only, and reports it, as the real child does. */
export async function writeSampleResult({ outDir, request }: CoverTask): Promise<ResultFile[]> {
  mkdirSync(join(outDir, "rasters"));
  const summary = JSON.stringify({ version: 1, name: request.name });
  return [writeReported(outDir, "summary.json", summary), writeReported(outDir, "rasters/tier.tif", "raster")];
}

/** Writes a file and returns what a computation reports of it. */
export function writeReported(outDir: string, name: string, content: string): ResultFile {
  writeFileSync(join(outDir, name), content);
  return { name, bytes: content.length, sha256: createHash("sha256").update(content).digest("hex") };
}
