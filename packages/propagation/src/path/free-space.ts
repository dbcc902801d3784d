import { computeWavelengthM } from "@fellmark/units";

/**
 * Free-space basic transmission loss, dB, between isotropic antennas: 20 log10(4 pi d / lambda).
 * Source: ITU-R P.525-4, Annex, section 2, eq (3), with the exact speed of light (P.1812-6 eq (8) rounds the constant
 * to 92.4 dB for km and GHz, 0.048 dB less). Valid for: far field, d much greater than lambda.
 * Example: 1 km at 2.4 GHz gives 100.052 dB.
 */
export function computeFreeSpaceLossDb(distanceM: number, frequencyGhz: number): number {
  return 20 * Math.log10((4 * Math.PI * distanceM) / computeWavelengthM(frequencyGhz));
}
