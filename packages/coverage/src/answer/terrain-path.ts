import { geodesicLine, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { openMosaic, type TerrainCatalogue } from "@fellmark/terrain";
import { clutterSources } from "../clutter/clutter-raster.ts";
import { boxAround, stepsOver } from "./ground.ts";
import { evenPath, type MastPath } from "./mast-path.ts";

/** Half of the terrain's own step misses nothing that its rasters hold. */
export const FINE_STEP_SHARE = 0.5;

/** The path between two masts over bare ground, read for this path alone. */
export async function terrainPath(
  catalogue: TerrainCatalogue,
  { terrain, model }: CoverageRequest,
  from: LonLat,
  to: LonLat,
): Promise<MastPath> {
  const canopy = clutterSources(model)?.canopy;
  const box = boxAround([from, to], 0);
  const mosaic = await openMosaic(catalogue, terrain.sets, box, canopy === undefined ? {} : { canopy });
  const line = geodesicLine(from, to);
  const heights = new Float64Array(stepsOver(mosaic, line.distanceM, FINE_STEP_SHARE) + 1);
  mosaic.heightsAlong(line, heights);
  return evenPath(Math.max(1, line.distanceM), heights, line);
}
