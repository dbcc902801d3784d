import { randomUUID } from "node:crypto";
import {
  buildQuietNoise,
  createGround,
  createMastEnds,
  createPatterns,
  type EndsOf,
  type Engine,
  findBoxAround,
  findEffectiveEarthRadiusM,
  findSectorNoise,
  linkBudgets,
  readGroundData,
  type SectorNoise,
} from "@fellmark/coverage";
import { findGeodesic } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import { MAX_REACH_M } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { createDrawnNoise } from "../interference/drawn-noise.ts";
import { findView } from "./cpe-view.ts";
import type { AnswerScene, CpeView, SceneData, SceneTerrain } from "./scene.ts";
import { listStations } from "./station.ts";

export interface PrepareOptions {
  /** Noise and interference of every sector, where they are known already. */
  noise?: readonly SectorNoise[];
  /** Never sweeps, however small the network. */
  drawn?: boolean;
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
  { noise, drawn = false, warm = false }: PrepareOptions = {},
): Promise<AnswerScene> {
  const ground = await readGroundData(catalogue, request, findBox(request));
  const known = noise ?? (!drawn && isSwept(request) ? await findSectorNoise(engine, catalogue, request) : null);
  const data = { id: randomUUID(), request, ground, fingerprint: catalogue.fingerprint, noise: known };
  const scene = createSceneOfData(data, catalogue);
  if (warm) warmUp(findView(scene));
  return scene;
}

/** A sweep takes a second or two a mast; drawn subscribers are there at once. */
const MOST_SWEPT = 4;

/**
 * The smallest networks hear as their coverages do, which sweep from every mast; all others by drawn subscribers. On 10
 * masts of 3 sectors the mean levels of both differ by 0.03 dB on average and by 1.5 dB at most.
 */
function isSwept({ sites, emitters }: CoverageRequest): boolean {
  return sites.length + emitters.length <= MOST_SWEPT;
}

/** Every path from anybody who is heard to a place in service range lies in it. */
function findBox(request: CoverageRequest) {
  const { radiusM } = request.area;
  const heard = request.emitters.filter((emitter) =>
    request.sites.some((site) => findGeodesic(emitter, site).distanceM <= MAX_REACH_M + radiusM),
  );
  return findBoxAround([...request.sites, ...heard], radiusM);
}

/** Computes what is kept by sector and would else be computed when first asked for. */
function warmUp({ request, senders, overlap, noise }: CpeView): void {
  for (const victim of request.sectors.keys()) {
    overlap(victim);
    noise(victim);
  }
  for (const { levelGain } of senders) levelGain(0);
}

/** The scene over data that prepareAnswers read, here or in another thread. */
export function createSceneOfData(data: SceneData, catalogue: TerrainCatalogue | null): AnswerScene {
  const { request, noise } = data;
  const ground = createGround(data.ground);
  const scene = createScene(request, createMastEnds(request, ground), { data, ground, catalogue });
  scene.noise = noise ? (victim) => noise[victim] : createDrawnNoise(findView(scene), ground);
  return scene;
}

/** A scene in which sectors hear only themselves. */
export function createScene(request: CoverageRequest, endsOf: EndsOf, terrain: SceneTerrain | null): AnswerScene {
  const patterns = createPatterns(request);
  let quiet: SectorNoise[] | undefined;
  return {
    request,
    patterns,
    endsOf,
    effectiveEarthRadiusM: findEffectiveEarthRadiusM(request),
    stations: listStations(request, terrain?.ground.mosaic.findHeightAmslM ?? (() => Number.NaN)),
    noise(victim) {
      quiet ??= buildQuietNoise(linkBudgets(request, patterns, endsOf));
      return quiet[victim];
    },
    terrain,
    views: new Map(),
    otherSeason: null,
  };
}
