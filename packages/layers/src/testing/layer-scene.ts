import type { LatticeWindow } from "@fellmark/geodesy";
import { TIER_CLASS, type TierPlan } from "@fellmark/tiers";
import type { LayerFacts, LayerRaster } from "../layer-raster.ts";
import { buildLevels } from "../raster/build-levels.ts";

export const SCENE_PLANS: TierPlan[] = [
  { id: "p100", downMbps: 100, upMbps: 20 },
  { id: "p50", downMbps: 50, upMbps: 10 },
  { id: "p25", downMbps: 25.5, upMbps: 5 },
];

export const SCENE_FACTS: LayerFacts = {
  title: "Plans <b>today</b>",
  attribution: 'Tollivast Broadband & "friends"',
  validFrom: "2026-11-30",
  validUntil: null,
  confidence: 0.9,
  availability: 0.999,
  cpeHeightAglM: 6,
};

/** A window at 45 degrees north whose edges lie inside tiles. */
export const SCENE_WINDOW: LatticeWindow = { zoom: 12, col0: 312_100, row0: 377_030, width: 700, height: 600 };

/** Classes in a disc: plans that fall with distance, blocks of survey-first, voids, and every class mixed in at random. */
export function drawSceneClasses({ width, height }: LatticeWindow, random: () => number): Uint8Array {
  const [plans, radius] = [SCENE_PLANS.length, Math.min(width, height) / 2];
  const block = Float64Array.from({ length: 4096 }, random);
  return Uint8Array.from({ length: width * height }, (_, cell) => {
    const [x, y] = [(cell % width) + 0.5, Math.floor(cell / width) + 0.5];
    const away = Math.hypot(x - width / 2, y - height / 2) / radius;
    if (away > 1) return TIER_CLASS.outside;
    const rough = block[(Math.floor(x / 9) * 61 + Math.floor(y / 9)) % 4096];
    if (rough > 0.97) return TIER_CLASS.notKnown;
    const tier = Math.floor(1 + (plans + 1) * (0.7 * away + 0.5 * rough + 0.12 * random()));
    if (tier > plans) return TIER_CLASS.noService;
    return rough > 0.8 ? plans + tier : tier;
  });
}

export function buildScene(random: () => number, window: LatticeWindow = SCENE_WINDOW): LayerRaster {
  return { plans: SCENE_PLANS, levels: buildLevels(window, drawSceneClasses(window, random)) };
}
