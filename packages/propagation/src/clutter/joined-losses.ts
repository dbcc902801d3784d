import { toDb, toRatio } from "@fellmark/units";

/**
 * Loss of two paths that reach the same antenna, dB: their powers add. Never below 0: two paths without loss are no
 * gain over free space. Symmetric; at most the lesser of the two, and at most 3.01 dB below it.
 * Source: sum of incoherent powers, -10 log10(10^(-A1/10) + 10^(-A2/10)).
 * Example: 20 and 20 dB give 16.99 dB; 44.41 and 32.53 dB give 32.26 dB.
 */
export function joinLossesDb(firstDb: number, secondDb: number): number {
  return Math.max(-toDb(toRatio(-firstDb) + toRatio(-secondDb)), 0);
}

/** Losses of one path whose middle holds trees, dB over free space. */
export interface WoodedPathLosses {
  /** Diffraction over the ground, buildings and the tops of the trees. */
  overTreesDb: number;
  /** Diffraction over the ground and buildings alone, as if the trees were away: at most `overTreesDb`. */
  withoutTreesDb: number;
  /** Loss of the ray inside the trees by a vegetation law; Infinity where ground or a building stops the ray. */
  throughTreesDb: number;
}

/**
 * Loss of a path over and through trees, dB: the path over their tops joined with the ray that passes them, which
 * also pays for what stands without the trees. Never less than without the trees, never more than over them.
 * Source: own join of the diffraction method and a vegetation law.
 * Example: 44.41 dB over, 0 dB without and 32.53 dB through the trees give 32.26 dB.
 */
export function computeWoodedPathLossDb(losses: WoodedPathLosses): number {
  const { overTreesDb, withoutTreesDb, throughTreesDb } = losses;
  return Math.max(joinLossesDb(overTreesDb, withoutTreesDb + throughTreesDb), withoutTreesDb);
}
