import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { type LonLatBox, openMosaic, readProfile, type TerrainCatalogue } from "@fellmark/terrain";
import { type MastPath, mastPath } from "./mast-path.ts";

/** Margin of the terrain read around a path, degrees; a path bends away from its box by less. */
const BOX_MARGIN_DEG = 0.02;

/** The path between two places, from the terrain at half its own step. */
export async function terrainPath(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  from: LonLat,
  to: LonLat,
): Promise<MastPath> {
  const turned = { lon: to.lon + 360 * Math.round((from.lon - to.lon) / 360), lat: to.lat };
  const box: LonLatBox = [
    Math.min(from.lon, turned.lon) - BOX_MARGIN_DEG,
    Math.min(from.lat, turned.lat) - BOX_MARGIN_DEG,
    Math.max(from.lon, turned.lon) + BOX_MARGIN_DEG,
    Math.max(from.lat, turned.lat) + BOX_MARGIN_DEG,
  ];
  const mosaic = await openMosaic(catalogue, request.terrain.sets, box);
  if (Number.isNaN(mosaic.stepM)) return mastPath(Float64Array.of(0, 1), Float64Array.of(Number.NaN, Number.NaN), null);
  const profile = readProfile(mosaic, from, turned, mosaic.stepM / 2);
  return mastPath(profile.distanceM, profile.heightAmslM, { from, to: turned });
}
