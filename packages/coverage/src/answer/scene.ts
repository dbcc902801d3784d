import { geodesicBetween } from "@fellmark/geodesy";
import { COVERAGE_LIMITS, type CoverageRequest, canonicalJson, type KitSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { readEnds } from "../clutter/clutter-raster.ts";
import { heardBySectors } from "../coverage.ts";
import type { EndsOf } from "../link/end-clutter.ts";
import { linkBudgets } from "../link/link-budget.ts";
import { type Patterns, patternsOf } from "../link/patterns.ts";
import { effectiveEarthRadiusM, MAX_REACH_M } from "../mast.ts";
import type { Engine } from "../mast-loss.ts";
import { MODEL_VERSION } from "../model-version.ts";
import { quietNoise, type SectorNoise } from "../sector-noise/sector-noise.ts";
import { drawnNoise } from "./drawn-noise.ts";
import { boxAround, type Ground, openGround } from "./ground.ts";
import { type KitView, kitViewOf } from "./kit-view.ts";
import { type Station, stationsOf } from "./station.ts";

/** Everything about a request that no place changes. Opaque: made by prepareAnswers, asked by answerAt. */
export interface AnswerScene {
  request: CoverageRequest;
  patterns: Patterns;
  /** What stands around the masts. */
  endsOf: EndsOf;
  effectiveEarthRadiusM: number;
  stations: Station[];
  /** What a sector hears. */
  noise(victim: number): SectorNoise;
  /** Null where the profile comes from elsewhere. */
  terrain: SceneTerrain | null;
  /** The scene as kits meet it, by kit. */
  views: Map<string, KitView>;
  /** The same with leaves where there are none and the other way round, once somebody asked. */
  otherLeaf: AnswerScene | null;
}

export interface SceneTerrain {
  catalogue: TerrainCatalogue;
  ground: Ground;
}

/** What an answer rests on. */
export interface AnswerInputs {
  /** Version of the model. */
  model: string;
  /** Fingerprint of the terrain; null where the profile comes from elsewhere. */
  terrain: string | null;
  /** Version of the correction by own links, or null. */
  correction: string | null;
}

export interface PrepareOptions {
  /** What every sector hears, where that is known already. */
  noise?: readonly SectorNoise[];
  /** Computes at once what would else be computed when first asked for. */
  warm?: boolean;
}

/**
 * Prepares to answer any number of places from a request, which may be of a network of any size.
 * Throws InputError (power rules, antennas, sets), TerrainError (`mast_not_known`, `terrain_too_fine`).
 */
export async function prepareAnswers(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  { noise, warm = false }: PrepareOptions = {},
): Promise<AnswerScene> {
  const scene = await openScene(catalogue, request);
  scene.noise = await noiseOf(engine, scene, noise);
  if (warm) warmUp(viewOf(scene));
  return scene;
}

/** Small networks hear as their coverages do; large ones by drawn subscribers. */
async function noiseOf(
  engine: Engine,
  scene: AnswerScene,
  known: readonly SectorNoise[] | undefined,
): Promise<AnswerScene["noise"]> {
  const { request, terrain } = scene;
  if (!terrain) return scene.noise;
  const { sites, sectors } = COVERAGE_LIMITS;
  const fitsOneMap = request.sites.length <= sites && request.sectors.length <= sectors;
  if (!known && !fitsOneMap) return drawnNoise(viewOf(scene), terrain.ground);
  const heard = known ?? (await heardBySectors(engine, terrain.catalogue, request));
  return (victim) => heard[victim];
}

/** Computes what is kept by sector and would else be computed when first asked for. */
function warmUp({ request, senders, overlap, noise }: KitView): void {
  for (const victim of request.sectors.keys()) {
    overlap(victim);
    noise(victim);
  }
  for (const { levelGain } of senders) levelGain(0);
}

/** A scene on terrain in which sectors hear only themselves. Throws as prepareAnswers. */
export async function openScene(catalogue: TerrainCatalogue, request: CoverageRequest): Promise<AnswerScene> {
  const endsOf = await readEnds(catalogue, request);
  const ground = await openGround(catalogue, request, boxOf(request));
  return sceneOf(request, endsOf, { catalogue, ground });
}

/** Every path from anybody who is heard to a place in service range lies in it. */
function boxOf(request: CoverageRequest) {
  const { radiusM } = request.area;
  const heard = request.emitters.filter((emitter) =>
    request.sites.some((site) => geodesicBetween(emitter, site).distanceM <= MAX_REACH_M + radiusM),
  );
  return boxAround([...request.sites, ...heard], radiusM);
}

/** A scene in which sectors hear only themselves. */
export function sceneOf(request: CoverageRequest, endsOf: EndsOf, terrain: SceneTerrain | null): AnswerScene {
  const patterns = patternsOf(request);
  const quiet = quietNoise(linkBudgets(request, patterns, endsOf));
  return {
    request,
    patterns,
    endsOf,
    effectiveEarthRadiusM: effectiveEarthRadiusM(request),
    stations: stationsOf(request),
    noise: (victim) => quiet[victim],
    terrain,
    views: new Map(),
    otherLeaf: null,
  };
}

/** Kits that a scene keeps at once. */
const MOST_VIEWS = 16;

/** The scene as a kit meets it; heights play no part in it. */
export function viewOf(scene: AnswerScene, changes: Partial<KitSpec> = {}): KitView {
  const { heightAglM: _height, maxHeightAglM: _most, ...other } = changes;
  const key = canonicalJson(other);
  let view = scene.views.get(key);
  if (!view) {
    if (scene.views.size >= MOST_VIEWS) scene.views.clear();
    const own = scene.request.kit;
    view = kitViewOf(scene, Object.keys(other).length === 0 ? own : { ...own, ...other });
    scene.views.set(key, view);
  }
  return view;
}

export function otherLeafOf(scene: AnswerScene): AnswerScene {
  const { request } = scene;
  const model = { ...request.model, leaf: request.model.leaf === "in" ? ("out" as const) : ("in" as const) };
  scene.otherLeaf ??= { ...scene, request: { ...request, model }, views: new Map() };
  return scene.otherLeaf;
}

export function inputsOf({ request, terrain }: AnswerScene): AnswerInputs {
  return {
    model: MODEL_VERSION,
    terrain: terrain?.catalogue.fingerprint ?? null,
    correction: request.model.correction?.version ?? null,
  };
}
