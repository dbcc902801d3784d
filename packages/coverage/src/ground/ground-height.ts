import type { LonLat } from "@fellmark/geodesy";
import { type LonLatBox, openMosaic, type TerrainCatalogue } from "@fellmark/terrain";

/** Terrain read around a point, degrees: a few cells of the coarsest rasters. */
const MARGIN_DEG = 0.01;

/**
 * Ground height at a point from the rasters themselves, m above sea level; NaN where it is not known.
 * @param canopy a set of canopy heights, to be taken off surfaces.
 */
export async function readGroundHeight(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  { lon, lat }: LonLat,
  canopy?: string,
): Promise<number> {
  const box: LonLatBox = [lon - MARGIN_DEG, lat - MARGIN_DEG, lon + MARGIN_DEG, lat + MARGIN_DEG];
  const around = await openMosaic(catalogue, sets, box, canopy === undefined ? {} : { canopy });
  return around.findHeightAmslM(lon, lat);
}
