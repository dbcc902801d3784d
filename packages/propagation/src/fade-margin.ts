export interface MultipathFadeInput {
  /** Share of the time that the link must hold, 0 to 1, exclusive. */
  availability: number;
  distanceM: number;
  frequencyGhz: number;
  /** 4 over water or humid plains, 1 average, 0.25 dry or mountains. */
  terrainFactor: number;
}

/**
 * Margin against multipath fading, dB, 0 or more: the fade depth exceeded in the share of time left over.
 * Source: A. Vigants, Bell System Technical Journal 54 (1975), and W. T. Barnett (1972), metric form
 * P = 6e-7 C f d^3 10^(-M/10), d in km, f in GHz. Valid for: line of sight, a few to some tens of km; 2 to 11 GHz.
 * Example: 10 km, 5.8 GHz, average terrain, 0.999: 5.42 dB.
 */
export function multipathFadeMarginDb(input: MultipathFadeInput): number {
  const { availability, distanceM, frequencyGhz, terrainFactor } = input;
  const occurrence = 6e-7 * terrainFactor * frequencyGhz * (distanceM / 1000) ** 3;
  return Math.max(10 * Math.log10(occurrence / (1 - availability)), 0);
}
