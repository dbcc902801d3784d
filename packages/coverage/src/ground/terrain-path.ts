import { createGeodesicLine, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { MastPath } from "../path/mast-path.ts";
import { countFineSteps, createGround, findBoxAround, readGroundData, walkPath } from "./ground.ts";

/** The path between two masts, from terrain that is read for it alone. */
export async function readTerrainPath(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  from: LonLat,
  to: LonLat,
): Promise<MastPath> {
  const ground = createGround(await readGroundData(catalogue, request, findBoxAround([from, to], 0)));
  const line = createGeodesicLine(from, to);
  return walkPath(ground, request, line, countFineSteps(ground, request.model, line.distanceM));
}
