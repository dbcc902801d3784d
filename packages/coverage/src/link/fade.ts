import type { ModelSpec } from "@fellmark/network";
import { multipathFadeMarginDb } from "@fellmark/propagation";

/** Terrain factor C of the multipath fade margin: average terrain and climate. Source: see multipathFadeMarginDb. */
const AVERAGE_TERRAIN = 1;

/** Margin that a link keeps against fading, dB, by the rule of the model. */
export function linkFadeDb({ availability }: ModelSpec, distanceM: number, frequencyGhz: number): number {
  return multipathFadeMarginDb({ availability, distanceM, frequencyGhz, terrainFactor: AVERAGE_TERRAIN });
}
