import { setImmediate } from "node:timers/promises";
import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest, KitSpec } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import { type Answer, answerAt, type PlaceQuestion } from "../answer/answer.ts";
import { type AnswerScene, prepareAnswers } from "../answer/scene.ts";
import type { Engine } from "../mast-loss.ts";

/** A network over its terrain, as everything here asks it. */
export interface AnsweringNetwork {
  request: CoverageRequest;
  /** Kits that a subscriber or a measured link may name. */
  kits: ReadonlyMap<string, KitSpec>;
  ask(at: LonLat, question?: PlaceQuestion): Promise<Answer>;
}

/** Up to so many sites hear as their coverages do, by sweeps, which take a second or two a mast. */
const MOST_SWEPT_SITES = 4;

export interface OpenOptions {
  kits?: ReadonlyMap<string, KitSpec>;
  /** Whether only levels are asked for, so that nobody need find what the sectors hear. */
  levelsOnly?: boolean;
}

/** Opens a network over its terrain: a small one hears as its coverages do. Throws as prepareAnswers. */
export async function openAnsweringNetwork(
  engine: Engine,
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  { kits = new Map(), levelsOnly = false }: OpenOptions = {},
): Promise<AnsweringNetwork> {
  const drawn = levelsOnly || request.sites.length > MOST_SWEPT_SITES;
  const scene = await prepareAnswers(engine, catalogue, request, { drawn });
  if (drawn && !levelsOnly) hearInTurn(scene).catch(() => undefined);
  const ask: AnsweringNetwork["ask"] = async (at, question) => {
    // Whoever asks thousands of places in a row lets others in between.
    await setImmediate();
    return answerAt(scene, at, question);
  };
  return { request, kits, ask };
}

/** Finds what every sector hears before anybody has to wait for it; who asks meanwhile comes in between. */
async function hearInTurn(scene: AnswerScene): Promise<void> {
  for (const victim of scene.request.sectors.keys()) {
    await setImmediate();
    scene.noise(victim);
  }
}

/** Level per chain at one end of a link, dBm. */
export function signalDbm(terms: readonly { term: string; db: number }[]): number {
  return terms.find(({ term }) => term === "signal")?.db ?? Number.NaN;
}
