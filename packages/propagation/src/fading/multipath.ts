/** What a rule of multipath needs of a path. */
export interface MultipathInput {
  distanceM: number;
  frequencyGhz: number;
  /** Of "vigants-barnett": 4 over water or humid plains, 1 average, 0.25 dry or mountains; 1 where absent. */
  terrainFactor?: number;
  /**
   * Of "p530": gradient of refractivity in the lowest 65 m, not exceeded for 1 % of an average year, N-units per km;
   * where absent -200, middling land in temperate climates.
   */
  refractivityGradient?: number;
  /** Of "p530": between the antennas, m; 0 where absent, the most fading. */
  heightDifferenceM?: number;
  /** Of "p530": the lower antenna over the sea, m; 0 where absent, the most fading. */
  lowerAntennaAmslM?: number;
}

/** Whose law of multipath: the trade's plain one, or the quick one of ITU-R P.530. */
export type MultipathRule = "vigants-barnett" | "p530";

/**
 * Share of the average worst month in which deep fades begin: a fade of A dB or more takes this times 10^(-A/10).
 * It is a scale, not a probability, and passes 1 on long paths.
 */
export function multipathOccurrence(rule: MultipathRule, path: MultipathInput): number {
  return rule === "p530" ? quickOccurrence(path) : plainOccurrence(path);
}

/**
 * Source: A. Vigants, Bell System Technical Journal 54 (1975), and W. T. Barnett (1972), metric form 6e-7 C f d^3,
 * d in km, f in GHz. Valid for: line of sight, a few to some tens of km; 2 to 11 GHz.
 * Example: 10 km, 5.8 GHz, average terrain: 0.00348.
 */
function plainOccurrence({ distanceM, frequencyGhz, terrainFactor = 1 }: MultipathInput): number {
  return 6e-7 * terrainFactor * frequencyGhz * (distanceM / 1000) ** 3;
}

/** Average gradient where none is given, N-units per km: common practice, no source. */
const TEMPERATE_GRADIENT = -200;

/**
 * Source: ITU-R P.530-17, section 2.3.1, quick planning: K = 10^(-4.6 - 0.0027 dN1) and, in percent,
 * K d^3.1 (1 + |inclination|)^-1.29 f^0.8 10^(-0.00089 hL), d in km, inclination in mrad. The same terms are eqs
 * (B.2.1) and (B.3.1) of ITU-R P.2001-2. P.530-18 put a world map of K in their place, which Fellmark does not carry.
 * Valid for: overland paths, some km to 150 km; the Recommendation lets paths under 5 km count as free of multipath,
 * where here the law runs on to 0 at no distance, so that a map has no step. Deep fades: for those of less than 25 dB
 * section 2.3.2 asks for more, 10.5 instead of 7.0 dB on the first example.
 * Example: 10 km, 5.8 GHz, 30 m between the antennas, the lower at 200 m: 0.000497; 20 km: 0.00781.
 */
function quickOccurrence(path: MultipathInput): number {
  const { distanceM, frequencyGhz, refractivityGradient = TEMPERATE_GRADIENT } = path;
  const { heightDifferenceM = 0, lowerAntennaAmslM = 0 } = path;
  if (distanceM === 0) return 0;
  const distanceKm = distanceM / 1000;
  const inclinationMrad = Math.abs(heightDifferenceM) / distanceKm;
  const geoclimatic = 10 ** (-4.6 - 0.0027 * refractivityGradient);
  const heights = (1 + inclinationMrad) ** -1.29 * 10 ** (-0.00089 * lowerAntennaAmslM);
  return (geoclimatic * distanceKm ** 3.1 * frequencyGhz ** 0.8 * heights) / 100;
}
