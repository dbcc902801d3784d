import { BOLTZMANN_J_K, REFERENCE_TEMPERATURE_K, toDb, toRatio } from "@fellmark/units";

/** Thermal noise density k T0 at 290 K, dBm per Hz: -173.975. */
export const NOISE_DENSITY_DBM_PER_HZ = toDb(BOLTZMANN_J_K * REFERENCE_TEMPERATURE_K * 1000);

/**
 * Returns the noise of a receiver in a bandwidth, per chain: k T0 B and the noise figure.
 * Source: definition; ITU-R P.372-16, section 2. Example: 20 MHz with 6 dB gives -94.965 dBm.
 */
export function computeNoiseDbm(bandwidthMhz: number, noiseFigureDb: number): number {
  return NOISE_DENSITY_DBM_PER_HZ + toDb(bandwidthMhz * 1e6) + noiseFigureDb;
}

/** Returns the noise rise, dB, by interference at a ratio to noise: 10 log10(1 + I / N). Example: -6 dB gives 0.973 dB. */
export function computeNoiseRiseDb(interferenceToNoiseDb: number): number {
  return toDb(1 + toRatio(interferenceToNoiseDb));
}
