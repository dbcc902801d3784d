/** A law of what trees and houses cost, by the section that states it. */
export type ClutterLaw = "p2108-terminal" | "p2108-statistical" | "weissberger" | "p833" | "fitted" | "p1812";

/** Frequencies that a law was published for, GHz. */
export interface StatedRange {
  minGhz: number;
  maxGhz: number;
  source: string;
}

/** Range of every law as its source states it; results outside it are extrapolated and say so. */
export const STATED_RANGES: Readonly<Record<ClutterLaw, StatedRange>> = {
  "p2108-terminal": { minGhz: 0.03, maxGhz: 3, source: "ITU-R P.2108-1, section 3.1" },
  "p2108-statistical": { minGhz: 0.5, maxGhz: 67, source: "ITU-R P.2108-1, section 3.2" },
  weissberger: { minGhz: 0.23, maxGhz: 95, source: "M. A. Weissberger, ESD-TR-81-101, 1982" },
  p833: { minGhz: 0.106, maxGhz: 2.118, source: "ITU-R P.833-10, section 2.1, the wood of eq (2)" },
  p1812: { minGhz: 0.03, maxGhz: 6, source: "ITU-R P.1812-6, section 1" },
  fitted: { minGhz: 11.2, maxGhz: 20, source: "Al-Nuaimi and Stephens, IEE Proceedings H 145, 1998" },
};

/** True where the law is stated at a frequency, ends included. Example: "p2108-terminal" at 5.8 GHz: false. */
export function isLawStated(law: ClutterLaw, frequencyGhz: number): boolean {
  const { minGhz, maxGhz } = STATED_RANGES[law];
  return frequencyGhz >= minGhz && frequencyGhz <= maxGhz;
}
