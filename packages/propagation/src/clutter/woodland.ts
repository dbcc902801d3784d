import type { Foliage } from "./foliage.ts";

/**
 * A wood whose greatest loss was measured: Am = A1 f^alpha, f in MHz.
 * Source: ITU-R P.833-10, section 2.1, eq (2); the first row read in a transcription, the other two from memory. The
 * mixed forest's law meets the section's table of that forest (9.4 to 34.1 dB) within 3.3 dB.
 */
const WOODS = {
  /** Mixed forest, trees of 16 m, 0.106 to 2.118 GHz. */
  "mixed-forest": { a1Db: 1.37, alpha: 0.42 },
  /** Forest with trees of 15 m, 0.9 to 2.2 GHz. */
  forest: { a1Db: 1.15, alpha: 0.43 },
  /** Park of tropical trees of 15 m, 0.9 to 1.8 GHz: far too much where it is extrapolated to 5 GHz. */
  "tropical-park": { a1Db: 0.18, alpha: 0.752 },
} as const;

export type Wood = keyof typeof WOODS;

/** Trees in leaf lose this much more per metre than bare ones. Source: ITU-R P.833-10, section 2.1: about 1 GHz. */
const LEAF_RATIO = 1.2;

/**
 * Loss of a path with one end in a wood, dB: Aev = Am (1 - exp(-d gamma / Am)). It saturates at Am, since more power
 * then arrives around the wood; joined with the path over the top, that way around counts twice, by a little.
 * Source: ITU-R P.833-10, section 2.1, eq (1). Valid for: 30 MHz to 30 GHz (gamma) and the range of the wood (Am);
 * above it, extrapolated. Accuracy: 42.7 dB of greatest loss at 3.605 GHz against 46 dB measured in another wood.
 * Example: 100 m at 5.8 GHz gives 46.5 dB in leaf and 44.0 dB out of leaf.
 */
export function computeWoodlandLossDb(
  lengthM: number,
  frequencyGhz: number,
  foliage: Foliage,
  wood: Wood = "mixed-forest",
): number {
  const greatestDb = computeWoodlandGreatestLossDb(frequencyGhz, wood);
  const dbPerM = computeWoodlandAttenuationDbPerM(frequencyGhz) / (foliage === "leaf-on" ? 1 : LEAF_RATIO);
  return greatestDb * -Math.expm1((-lengthM * dbPerM) / greatestDb);
}

/**
 * Specific attenuation gamma of a wood in foliage, dB/m: straight lines through (0.03 GHz, 0.02), (1, 0.2) and (30, 6)
 * on the figure's logarithmic axes, the branch of vertical polarisation below 1 GHz, where the two part.
 * Source: ITU-R P.833-10, section 2.1, figure 2, by the points of a public transcription. The table of the same section,
 * one forest to 2.1 GHz, lies up to 20 % below. Example: 5.8 GHz gives 1.16 dB/m.
 */
export function computeWoodlandAttenuationDbPerM(frequencyGhz: number): number {
  const slope = frequencyGhz < 1 ? Math.log(10) / Math.log(1 / 0.03) : 1;
  return 0.2 * frequencyGhz ** slope;
}

/**
 * Loss Am, dB, that no length in the wood exceeds. Source: see WOODS.
 * Example: 5.8 GHz: 52.2 dB in the mixed forest, 47.7 dB in the other one.
 */
export function computeWoodlandGreatestLossDb(frequencyGhz: number, wood: Wood = "mixed-forest"): number {
  const { a1Db, alpha } = WOODS[wood];
  return a1Db * (frequencyGhz * 1000) ** alpha;
}
