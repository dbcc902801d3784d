import type { GeodesicLine, LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import {
  type ClutterData,
  type ClutterMosaic,
  clutterOf,
  type LonLatBox,
  type MosaicData,
  mosaicOf,
  openClutter,
  openMosaic,
  type TerrainCatalogue,
  type TerrainMosaic,
} from "@fellmark/terrain";
import { DEG_PER_RAD } from "@fellmark/units";
import { clutterSources, mastsAmong } from "../clutter/clutter-raster.ts";
import { type EndsOf, statedClutter, statedPathClutterM, UNKNOWN_CLUTTER } from "../link/end-clutter.ts";
import { evenPath, type MastPath } from "../path/mast-path.ts";
import { type LowGround, lowGroundOf, METRES_PER_DEG } from "./low-ground.ts";

/** What the answers of a request read of the terrain, held in memory. */
export interface Ground {
  mosaic: TerrainMosaic;
  /** Rasters of clutter; null where the request states it for all. */
  clutter: ClutterMosaic | null;
  /** Made when somebody first looks far. */
  low(): LowGround;
}

/** The same as plain data. */
export interface GroundData {
  mosaic: MosaicData;
  clutter: ClutterData | null;
}

/** Cells around what is asked for, and what a geodesic bends away from its box, degrees. */
const BOX_MARGIN_DEG = 0.03;

/** The box that holds every path from one of some places to a place within `radiusM` of another. */
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

/** Reads the terrain of a box, and what stands on it. Throws InputError and TerrainError as openMosaic does. */
export async function readGroundData(
  catalogue: TerrainCatalogue,
  { terrain, model }: CoverageRequest,
  box: LonLatBox,
): Promise<GroundData> {
  const sources = clutterSources(model);
  const canopy = sources?.canopy;
  const mosaic = await openMosaic(catalogue, terrain.sets, box, canopy === undefined ? {} : { canopy });
  const clutter = sources && (await openClutter(catalogue, sources, box));
  return { mosaic: mosaic.data, clutter: clutter?.data ?? null };
}

export function groundOf({ mosaic, clutter }: GroundData): Ground {
  return groundOver(mosaicOf(mosaic), clutter && clutterOf(clutter));
}

export function groundOver(mosaic: TerrainMosaic, clutter: ClutterMosaic | null): Ground {
  let low: LowGround | undefined;
  return {
    mosaic,
    clutter,
    low() {
      low ??= lowGroundOf(mosaic);
      return low;
    },
  };
}

/** What stands around the masts; around CPEs it is a matter of the place. */
export function endsOver({ sites, model }: CoverageRequest, { clutter }: Ground): EndsOf {
  if (clutter === null) return () => ({ mast: statedClutter(model).mast, cpe: UNKNOWN_CLUTTER });
  return mastsAmong(new Map(sites.map(({ id, lon, lat }) => [id, clutter.at(lon, lat)])));
}

/** Length of a step on a terrain without rasters, where nothing is known anyway, m. */
const BLIND_STEP_M = 1000;

/** Steps over a length, each `share` of the terrain's own or shorter; two at least. */
export function stepsOver({ stepM: ownM }: TerrainMosaic, distanceM: number, share: number): number {
  const stepM = Number.isNaN(ownM) ? BLIND_STEP_M : ownM * share;
  return Math.max(2, Math.ceil(distanceM / stepM));
}

/** The path along a line; by method p1812 what stands on its interior points is part of what rays must pass. */
export function pathAlong(ground: Ground, model: ModelSpec, line: GeodesicLine, steps: number): MastPath {
  const heights = new Float64Array(steps + 1);
  ground.mosaic.heightsAlong(line, heights);
  const path = evenPath(Math.max(1, line.distanceM), heights, line);
  if (model.method !== "path-clutter") return path;
  const clutterM = clutterAlong(ground, model, line, heights.length);
  const surfaceAmslM = path.bareAmslM.map((heightM, i) => {
    return i === 0 || i === steps ? heightM : heightM + (clutterM[i] || 0);
  });
  return { ...path, surfaceAmslM };
}

/** Height of what stands at equal steps along a line, m; NaN where it is not known. */
export function clutterAlong({ clutter }: Ground, model: ModelSpec, line: GeodesicLine, points: number): Float64Array {
  const heightM = new Float64Array(points);
  if (clutter === null) return heightM.fill(statedPathClutterM(model));
  clutter.along(line, heightM, new Uint8Array(points));
  return heightM;
}
