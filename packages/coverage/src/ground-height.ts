import type { LonLat } from "@fellmark/geodesy";
import { openMosaic, type TerrainCatalogue } from "@fellmark/terrain";

/** Terrain read around a point, degrees: a few cells of the coarsest rasters. */
const MARGIN_DEG = 0.01;

/** Ground height at a point from the rasters themselves, m above sea level; NaN where it is not known. */
export async function groundHeightAt(
  catalogue: TerrainCatalogue,
  sets: readonly string[],
  { lon, lat }: LonLat,
): Promise<number> {
  const around = await openMosaic(catalogue, sets, [
    lon - MARGIN_DEG,
    lat - MARGIN_DEG,
    lon + MARGIN_DEG,
    lat + MARGIN_DEG,
  ]);
  return around.heightAmslM(lon, lat);
}
