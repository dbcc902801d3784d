import type { ModelSpec } from "@fellmark/network";
import type { PathClass } from "@fellmark/propagation";

/** What own links taught of all paths of a class at a distance, dB to be added to the loss; 0 without a correction. */
export function pathCorrectionDb({ correction }: ModelSpec, sight: PathClass, distanceM: number): number {
  const row = correction?.validation.applied ? correction.classes[sight] : undefined;
  if (!correction || !row) return 0;
  return row.offsetDb + row.slopeDbPerDecade * Math.log10(Math.max(distanceM, 1) / 1000 / correction.referenceKm);
}

/** What they taught of one sector beyond that, dB to be added to the loss; 0 of an emitter. */
export function sectorBiasDb({ correction }: ModelSpec, sector: string | undefined): number {
  if (!correction?.validation.applied || sector === undefined) return 0;
  return correction.sectors[sector]?.biasDb ?? 0;
}
