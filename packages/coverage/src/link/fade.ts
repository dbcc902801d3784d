import type { ModelSpec } from "@fellmark/network";
import { computeFadeMarginDb } from "@fellmark/propagation";

/** Terrain factor C of the multipath fade margin: average terrain and climate. Source: see multipathOccurrence. */
const AVERAGE_TERRAIN = 1;

/** Margin that a link keeps against fading, dB, by the rule of the model. */
export function linkFadeDb({ availability, fading }: ModelSpec, distanceM: number, frequencyGhz: number): number {
  const { rule, rainMmPerHour } = fading;
  return computeFadeMarginDb({
    rule,
    availability,
    distanceM,
    frequencyGhz,
    rainMmPerHour,
    terrainFactor: AVERAGE_TERRAIN,
  });
}
