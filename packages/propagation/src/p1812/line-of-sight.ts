export interface LineOfSightInput {
  pathKm: number;
  /** Antennas above sea level, m. */
  txAmslM: number;
  rxAmslM: number;
  /** Distance from each antenna to its horizon, km: dlt, dlr. */
  txHorizonKm: number;
  rxHorizonKm: number;
  frequencyGhz: number;
}

/**
 * Free-space loss along the slant path, dB, with the rounded constant of the source: Lbfs.
 * Source: ITU-R P.1812-6, section 4.2, eqs (8), (8a). Example: 0.0953 GHz, 235.1 km, 814.4 and 118.3 m: 119.406949 dB.
 */
export function computeSlantFreeSpaceLossDb(input: LineOfSightInput): number {
  const slantKm = Math.hypot(input.pathKm, (input.txAmslM - input.rxAmslM) / 1000);
  return 92.4 + 20 * Math.log10(input.frequencyGhz) + 20 * Math.log10(slantKm);
}

/**
 * Loss not exceeded for p % of the time on a path in sight, dB, multipath and focusing counted: Lb0p; with beta0 for
 * p it is Lb0beta. At 50 % it is that of free space.
 * Source: ITU-R P.1812-6, section 4.2, eqs (9a) to (11). Valid for: 1 to 50 %.
 */
export function computeLineOfSightLossDb(input: LineOfSightInput, timePercent: number): number {
  const spread = 1 - Math.exp(-0.1 * (input.txHorizonKm + input.rxHorizonKm));
  return computeSlantFreeSpaceLossDb(input) + 2.6 * spread * Math.log10(timePercent / 50);
}
