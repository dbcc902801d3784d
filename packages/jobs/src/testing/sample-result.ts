import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { CoverTask } from "@fellmark/compute";

/** Writes a result that depends on the request only, as the real child does. */
export async function writeSampleResult({ outDir, request }: CoverTask): Promise<void> {
  mkdirSync(join(outDir, "rasters"));
  writeFileSync(join(outDir, "summary.json"), JSON.stringify({ version: 1, name: request.name }));
  writeFileSync(join(outDir, "rasters", "tier.tif"), "raster");
}
