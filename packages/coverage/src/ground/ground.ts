import type { GeodesicLine, LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, ModelSpec } from "@fellmark/network";
import { PATH_CLUTTER_HEIGHT_M } from "@fellmark/propagation";
import {
  CLUTTER_KINDS,
  type ClutterData,
  type ClutterMosaic,
  createClutterMosaic,
  createMosaic,
  type LonLatBox,
  type MosaicData,
  openClutter,
  openMosaic,
  type TerrainCatalogue,
  type TerrainMosaic,
} from "@fellmark/terrain";
import { DEG_PER_RAD } from "@fellmark/units";
import { createEnds, findClutterSources } from "../clutter/clutter-raster.ts";
import { findMeasuredSources, standsOnRoof } from "../clutter/covered-ground.ts";
import { type EndsOf, findStatedClutter, UNKNOWN_CLUTTER } from "../link/end-clutter.ts";
import { coverPath, createEvenPath, type MastPath } from "../path/mast-path.ts";
import { createLowGround, type LowGround, METRES_PER_DEG } from "./low-ground.ts";

/** The terrain that answers of a request read, held in memory. */
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
export function findBoxAround(places: readonly LonLat[], radiusM: number): LonLatBox {
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
  const sources = findClutterSources(model);
  const canopy = sources?.canopy;
  const mosaic = await openMosaic(catalogue, terrain.sets, box, canopy === undefined ? {} : { canopy });
  const clutter = sources && (await openClutter(catalogue, sources, box));
  return { mosaic: mosaic.data, clutter: clutter?.data ?? null };
}

export function createGround({ mosaic, clutter }: GroundData): Ground {
  return combineGround(createMosaic(mosaic), clutter && createClutterMosaic(clutter));
}

export function combineGround(mosaic: TerrainMosaic, clutter: ClutterMosaic | null): Ground {
  let low: LowGround | undefined;
  return {
    mosaic,
    clutter,
    low() {
      low ??= createLowGround(mosaic);
      return low;
    },
  };
}

/** Clutter around the masts; around CPEs it is a matter of the place. */
export function createMastEnds({ sites, model }: CoverageRequest, { clutter }: Ground): EndsOf {
  if (clutter === null) return () => ({ mast: findStatedClutter(model).mast, cpe: UNKNOWN_CLUTTER });
  return createEnds(new Map(sites.map(({ id, lon, lat }) => [id, clutter.findClutter(lon, lat)])));
}

/** Length of a step on a terrain without rasters, where nothing is known anyway, m. */
const BLIND_STEP_M = 1000;

/** Steps over a length, each `share` of the terrain's own or shorter; two at least. */
export function countSteps({ stepM: ownM }: TerrainMosaic, distanceM: number, share: number): number {
  const stepM = Number.isNaN(ownM) ? BLIND_STEP_M : ownM * share;
  return Math.max(2, Math.ceil(distanceM / stepM));
}

/**
 * Steps over a path whose measured clutter is to be met: half the finest step of terrain and clutter, but 5 m at least.
 */
export function countFineSteps(ground: Ground, model: ModelSpec, distanceM: number): number {
  const terrainSteps = countSteps(ground.mosaic, distanceM, FINE_STEP_SHARE);
  if (findMeasuredSources(model) === null || ground.clutter === null) return terrainSteps;
  const stepM = Math.max(LEAST_FINE_STEP_M, ground.clutter.stepM);
  return Math.max(terrainSteps, Math.ceil(distanceM / stepM));
}

/** Half of the terrain's own step misses nothing that its rasters hold. */
const FINE_STEP_SHARE = 0.5;

/** Least step along a path, m. */
const LEAST_FINE_STEP_M = 5;

/** Path along a line. By method path-clutter what is measured on its interior points is part of what rays must pass. */
export function walkPath(ground: Ground, { model, cpe }: PathRequest, line: GeodesicLine, steps: number): MastPath {
  const heights = new Float64Array(steps + 1);
  ground.mosaic.sampleHeights(line, heights);
  const path = createEvenPath(Math.max(1, line.distanceM), heights, line);
  if (ground.clutter === null) return model.method === "p1812" ? coverStated(path, model) : path;
  const clutter = sampleClutter(ground.clutter, line, steps + 1);
  if (model.method === "p1812") return coverAll(path, clutter, standsOnRoof(cpe));
  const covered = findMeasuredSources(model) === null ? path : coverMeasured(path, clutter, standsOnRoof(cpe));
  return { ...covered, classHeightM: ground.clutter.data.landCover && findClassHeights(path, clutter) };
}

/** The part of a request that says what counts on the way of a path. */
export type PathRequest = Pick<CoverageRequest, "model" | "cpe">;

/**
 * Clutter at equal steps along a line: heights above the ground, m, NaN where not known; indices into CLUTTER_KINDS; 1
 * where measured.
 */
export interface LineClutter {
  heightM: Float64Array;
  kind: Uint8Array;
  isMeasured: Uint8Array;
}

export function sampleClutter(clutter: ClutterMosaic, line: GeodesicLine, points: number): LineClutter {
  const found = {
    heightM: new Float64Array(points),
    kind: new Uint8Array(points),
    isMeasured: new Uint8Array(points),
  };
  clutter.sampleLine(line, found.heightM, found.kind, found.isMeasured);
  return found;
}

const TREES = CLUTTER_KINDS.indexOf("trees");

/**
 * The path with what is measured on it. The building at the place is the CPE's own: under a roof mount no part of it
 * counts as higher than the roof at the place; beside a wall or a mast it does not count.
 */
function coverMeasured(path: MastPath, { heightM, kind, isMeasured }: LineClutter, isRoofMount: boolean): MastPath {
  const last = heightM.length - 1;
  const measuredM = (i: number, isTree: boolean) =>
    i > 0 && isMeasured[i] === 1 && (kind[i] === TREES) === isTree ? heightM[i] : 0;
  const canopyHeightM = Float64Array.from(heightM, (_, i) => measuredM(i, true));
  const buildingHeightM = Float64Array.from(heightM, (_, i) => measuredM(i, false));
  const ownM = isRoofMount ? buildingHeightM[last] : 0;
  for (let i = last - 1; i > 0 && buildingHeightM[last] > 0 && buildingHeightM[i] > 0; i--) {
    buildingHeightM[i] = Math.min(buildingHeightM[i], ownM);
  }
  return coverPath(path, { canopyHeightM, buildingHeightM });
}

/** By P.1812 the height of a class counts on the way as a measured one does. */
function coverAll(path: MastPath, clutter: LineClutter, isRoofMount: boolean): MastPath {
  const heightM = clutter.heightM.map((standsM) => (Number.isNaN(standsM) ? 0 : standsM));
  return coverMeasured(path, { ...clutter, heightM, isMeasured: clutter.isMeasured.map(() => 1) }, isRoofMount);
}

/** By P.1812 a class that is stated for all places stands on the whole way. */
function coverStated(path: MastPath, { clutter }: ModelSpec): MastPath {
  if (!("class" in clutter) || clutter.class === "statistical") return path;
  const heightM = new Float64Array(path.bareAmslM.length).fill(clutter.heightM ?? PATH_CLUTTER_HEIGHT_M[clutter.class]);
  const none = new Float64Array(heightM.length);
  const isTrees = clutter.class === "trees";
  return coverPath(path, { canopyHeightM: isTrees ? heightM : none, buildingHeightM: isTrees ? none : heightM });
}

/**
 * Clutter nearer than this to an end belongs to the end, m. Source: ITU-R P.452-18, section 4.2.1 of attachment 2, as
 * its check profiles have it.
 */
const END_REACH_M = 50;

function findClassHeights({ weights, stepM, distanceM }: MastPath, { heightM, isMeasured }: LineClutter): Float64Array {
  return heightM.map((standsM, i) => {
    const alongM = weights.at[i] * stepM;
    const isAtEnd = alongM < END_REACH_M || distanceM - alongM < END_REACH_M;
    return isAtEnd || isMeasured[i] === 1 || Number.isNaN(standsM) ? 0 : standsM;
  });
}
