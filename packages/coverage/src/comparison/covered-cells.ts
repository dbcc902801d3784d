import { type CoverageRequest, findWindow } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { type Coverage, type CoverageWatch, computeCoverage } from "../coverage.ts";
import type { StripRasters } from "../layers/layer-job.ts";
import type { Engine } from "../loss/engine.ts";

/** Layers of a coverage that a comparison looks at. */
const LAYERS = ["tier", "server", "sinrDown", "sinrUp", "rateDown", "rateUp"] as const;

/** Whole rasters of a coverage, row-major over its window; meaning and units as in StripRasters. */
export type CoveredCells = Pick<StripRasters, (typeof LAYERS)[number]>;

export interface CoveredArea {
  request: CoverageRequest;
  coverage: Coverage;
  cells: CoveredCells;
}

/** A coverage with its rasters in memory. Throws as computeCoverage. */
export async function coverCells(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  watch: CoverageWatch,
): Promise<CoveredArea> {
  const { width, height } = findWindow(request);
  const count = width * height;
  const cells: CoveredCells = {
    tier: new Uint8Array(count),
    server: new Uint8Array(count),
    sinrDown: new Int16Array(count),
    sinrUp: new Int16Array(count),
    rateDown: new Uint16Array(count),
    rateUp: new Uint16Array(count),
  };
  const withRasters: CoverageRequest = { ...request, outputs: ["rasters"] };
  const sink = async (fromRow: number, rows: number, strip: StripRasters) => {
    for (const layer of LAYERS) cells[layer].set(strip[layer].subarray(0, rows * width), fromRow * width);
  };
  return { request, coverage: await computeCoverage(engine, catalogue, withRasters, sink, watch), cells };
}
