import { geodesicLine, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { MastPath } from "../path/mast-path.ts";
import { boxAround, groundOf, pathAlong, readGroundData, stepsOver } from "./ground.ts";

/** Half of the terrain's own step misses nothing that its rasters hold. */
export const FINE_STEP_SHARE = 0.5;

/** The path between two masts, from terrain that is read for it alone. */
export async function terrainPath(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  from: LonLat,
  to: LonLat,
): Promise<MastPath> {
  const ground = groundOf(await readGroundData(catalogue, request, boxAround([from, to], 0)));
  const line = geodesicLine(from, to);
  return pathAlong(ground, request.model, line, stepsOver(ground.mosaic, line.distanceM, FINE_STEP_SHARE));
}
