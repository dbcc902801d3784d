import type { LonLat } from "@fellmark/geodesy";
import type { CoverageRequest } from "@fellmark/network";
import type { TerrainCatalogue } from "@fellmark/terrain";
import type { SectorNoise } from "../sector-noise/sector-noise.ts";
import { type Answer, answerAt } from "./answer.ts";
import { openScene } from "./scene.ts";

/** Answers one place of a request whose noise is known, or of which every sector hears only itself. */
export async function answerFromTerrain(
  catalogue: TerrainCatalogue,
  request: CoverageRequest,
  at: LonLat,
  noise?: SectorNoise[],
): Promise<Answer> {
  const scene = await openScene(catalogue, request);
  return answerAt(noise ? { ...scene, noise: (victim) => noise[victim] } : scene, at);
}
