export interface TroposcatterInput {
  pathKm: number;
  frequencyGhz: number;
  angularDistanceMrad: number;
  /** Mean refractivity at sea level at the path centre, N-units: N0. */
  seaLevelRefractivity: number;
  timePercent: number;
}

/**
 * Loss by troposcatter not exceeded for p % of the time, dB: Lbs.
 * Source: ITU-R P.1812-6, section 4.4, eqs (44), (45). Valid for: 1 to 50 %.
 * Example: 235.1 km, 0.0953 GHz, 7.673515 mrad, N0 326.08, 1 %: 148.4453 dB.
 */
export function computeTroposcatterLossDb(input: TroposcatterInput): number {
  const { pathKm, frequencyGhz: f, angularDistanceMrad, seaLevelRefractivity, timePercent } = input;
  const ofFrequencyDb = 25 * Math.log10(f) - 2.5 * Math.log10(f / 2) ** 2;
  const ofTimeDb = 10.125 * Math.log10(50 / timePercent) ** 0.7;
  const ofPathDb = 20 * Math.log10(pathKm) + 0.573 * angularDistanceMrad;
  return 190.1 + ofFrequencyDb + ofPathDb - 0.15 * seaLevelRefractivity - ofTimeDb;
}
