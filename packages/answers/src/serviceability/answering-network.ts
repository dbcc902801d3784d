import { setImmediate } from "node:timers/promises";
import { buildQuietNoise, createPatterns, type Engine, linkBudgets, type SectorNoise } from "@fellmark/coverage";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, CpeSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { type Answer, answerPoint, type PlaceQuestion } from "../place/answer.ts";
import { prepareAnswers } from "../scene/prepare-answers.ts";
import type { AnswerScene } from "../scene/scene.ts";

/** A network over its terrain, as everything here asks it. */
export interface AnsweringNetwork {
  request: CoverageRequest;
  /** CPEs that a subscriber or a measured link may name. */
  cpes: ReadonlyMap<string, CpeSpec>;
  ask(at: LonLat, question?: PlaceQuestion): Promise<Answer>;
}

export interface OpenOptions {
  cpes?: ReadonlyMap<string, CpeSpec>;
  /** True where only levels are asked for: sectors then hear nothing but their own noise. */
  levelsOnly?: boolean;
}

/** Opens a network over its terrain. Throws as prepareAnswers. */
export async function openAnsweringNetwork(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  { cpes = new Map(), levelsOnly = false }: OpenOptions = {},
): Promise<AnsweringNetwork> {
  const scene = await prepareAnswers(engine, catalogue, request, levelsOnly ? { noise: readOwnNoise(request) } : {});
  // What fails here fails again for whoever asks, and is told then.
  if (!levelsOnly) hearInTurn(scene).catch(() => undefined);
  const ask: AnsweringNetwork["ask"] = async (at, question) => {
    // Whoever asks thousands of places in a row lets others in between.
    await setImmediate();
    return answerPoint(scene, at, question);
  };
  return { request, cpes, ask };
}

/** Of receivers alone, which costs no path. */
function readOwnNoise(request: CoverageRequest): SectorNoise[] {
  return buildQuietNoise(linkBudgets(request, createPatterns(request)));
}

/** Finds what every sector hears before anybody has to wait for it; who asks meanwhile comes in between. */
async function hearInTurn(scene: AnswerScene): Promise<void> {
  for (const victim of scene.request.sectors.keys()) {
    await setImmediate();
    scene.noise(victim);
  }
}

/** Level per chain at one end of a link, dBm. */
export function readSignalDbm(terms: readonly { term: string; db: number }[]): number {
  return terms.find(({ term }) => term === "signal")?.db ?? Number.NaN;
}
