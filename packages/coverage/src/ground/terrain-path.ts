import { createGeodesicLine, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { MastPath } from "../path/mast-path.ts";
import { boxAround, fineStepsOver, groundOf, pathAlong, readGroundData } from "./ground.ts";

/** The path between two masts, from terrain that is read for it alone. */
export async function terrainPath(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  from: LonLat,
  to: LonLat,
): Promise<MastPath> {
  const ground = groundOf(await readGroundData(catalogue, request, boxAround([from, to], 0)));
  const line = createGeodesicLine(from, to);
  return pathAlong(ground, request, line, fineStepsOver(ground, request.model, line.distanceM));
}
