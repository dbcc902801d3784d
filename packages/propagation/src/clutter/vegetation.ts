import { computeFittedVegetationLossDb } from "./fitted-vegetation.ts";
import type { Foliage } from "./foliage.ts";
import { computeTreeScreenLossDb } from "./tree-screen.ts";
import { computeWoodlandLossDb } from "./woodland.ts";

/**
 * Law of the loss through trees: Weissberger's for screens of trees, the woodland of ITU-R P.833, which saturates, or
 * the power laws fitted beside P.833 to trees with and without leaves.
 */
export type VegetationLaw = "weissberger" | "p833" | "fitted";

export interface VegetationInput {
  /** Length of the ray inside the trees, m, 0 or more. */
  lengthM: number;
  frequencyGhz: number;
  /** "leaf-on" where absent. */
  foliage?: Foliage;
  /** "weissberger" where absent. */
  law?: VegetationLaw;
}

/**
 * Loss of a ray through trees, dB, over its length inside them; 0 at no length.
 * Accuracy: a few dB at best. At 5.8 GHz in foliage, 27 m and 100 m: Weissberger 15.2 and 32.9 dB, fitted 26.1 and 36.2,
 * P.833 23.5 and 46.5. Measured swings between seasons differ as much: 8.5 dB at 2.2 GHz in one forest, none that was
 * significant at 3.6 GHz in another (ITU-R P.833-10, section 2.1).
 * Example: 27 m at 5.8 GHz gives 15.2 dB in leaf and 7.2 dB out of leaf, by P.833 23.5 and 20.5 dB.
 */
export function computeVegetationLossDb({
  lengthM,
  frequencyGhz,
  foliage = "leaf-on",
  law = "weissberger",
}: VegetationInput): number {
  switch (law) {
    case "p833":
      return computeWoodlandLossDb(lengthM, frequencyGhz, foliage);
    case "fitted":
      return computeFittedVegetationLossDb(lengthM, frequencyGhz, foliage);
    case "weissberger":
      return computeTreeScreenLossDb(lengthM, frequencyGhz, foliage);
  }
}
