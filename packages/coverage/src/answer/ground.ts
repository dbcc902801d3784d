import { geodesicLine, type LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { type LonLatBox, openMosaic, type TerrainCatalogue, type TerrainMosaic } from "@fellmark/terrain";
import { DEG_PER_RAD } from "@fellmark/units";
import type { ClutterAround } from "../link/end-clutter.ts";
import { evenPath, type MastPath } from "./mast-path.ts";

/** What the answers of a request read of the terrain, held in memory. */
export interface Ground {
  mosaic: TerrainMosaic;
  /** Rasters of clutter; null where the request states it for all. */
  clutter: ClutterRaster | null;
}

/** What of a mosaic of clutter is needed here. */
export interface ClutterRaster {
  at(lon: number, lat: number): ClutterAround;
}

/** Longest step of a path on a terrain without rasters, where nothing is known anyway, m. */
const BLIND_STEP_M = 1000;

/** Metres of a degree of latitude, at least. */
const METRES_PER_DEG = 110_500;

/** Cells around what is asked for, and what a geodesic bends away from its box, degrees. */
const BOX_MARGIN_DEG = 0.03;

/** The box that holds every path from a station to a place within `radiusM` of a site. */
export function boxAround(places: readonly LonLat[], radiusM: number): LonLatBox {
  const first = places[0].lon;
  const lons = places.map(({ lon }) => lon + 360 * Math.round((first - lon) / 360));
  const lats = places.map(({ lat }) => lat);
  const upDeg = radiusM / METRES_PER_DEG + BOX_MARGIN_DEG;
  const farthestLat = Math.min(89, Math.max(...lats.map(Math.abs)) + upDeg);
  const acrossDeg = upDeg / Math.cos(farthestLat / DEG_PER_RAD);
  const south = Math.max(-90, Math.min(...lats) - upDeg);
  const north = Math.min(90, Math.max(...lats) + upDeg);
  return [Math.min(...lons) - acrossDeg, south, Math.max(...lons) + acrossDeg, north];
}

/** Reads the terrain of a box. Throws InputError and TerrainError as openMosaic does. */
export async function openGround(
  catalogue: TerrainCatalogue,
  { terrain }: CoverageRequest,
  box: LonLatBox,
): Promise<Ground> {
  return { mosaic: await openMosaic(catalogue, terrain.sets, box), clutter: null };
}

/** Steps of a path: the terrain's own over `perStep`, two at least. */
function stepsOver(distanceM: number, stepM: number): number {
  return Math.max(2, Math.ceil(distanceM / stepM));
}

/**
 * The path between two places.
 * @param stepShare length of a step over the terrain's own: 0.5 misses nothing that the raster holds.
 */
export function pathOverGround({ mosaic }: Ground, from: LonLat, to: LonLat, stepShare: number): MastPath {
  const line = geodesicLine(from, to);
  const distanceM = Math.max(1, line.distanceM);
  const stepM = Number.isNaN(mosaic.stepM) ? BLIND_STEP_M : mosaic.stepM * stepShare;
  const heights = new Float64Array(stepsOver(distanceM, stepM) + 1);
  mosaic.heightsAlong(line, heights);
  return evenPath(distanceM, heights, line);
}
