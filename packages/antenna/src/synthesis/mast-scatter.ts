import { ratioFromDb } from "@fellmark/units";

/** Level of what the mast, its brackets and cables scatter. Common practice without a source. */
const SCATTER_BELOW_PEAK_DB = 35;

/** The mast takes no more of the power than this, however narrow the beam. */
const GREATEST_SCATTER_SHARE = 0.05;

/**
 * Share of the radiated power that the mast scatters evenly over the sphere, half of it in each polarisation: so much
 * that each lies 35 dB under the peak, but 5 % at most (-16 dBi), which a beam of more than 19 dBi reaches.
 */
export function mastScatterShare(directivity: number): number {
  const both = 2 * directivity * ratioFromDb(-SCATTER_BELOW_PEAK_DB);
  return Math.min(both / (1 + both), GREATEST_SCATTER_SHARE);
}
