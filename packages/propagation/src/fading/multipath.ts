import { toRatio } from "@fellmark/units";

/** Length of a path and heights of its antennas. */
export interface MultipathHeights {
  distanceM: number;
  /** Of P.530: antennas above sea level, m; a level path at sea level, the most fading, where either is absent. */
  txAmslM?: number;
  rxAmslM?: number;
}

/** Path and climate that a rule of multipath fading asks for. */
export interface MultipathInput extends MultipathHeights {
  frequencyGhz: number;
  /** Of "vigants-barnett": 4 over water or humid plains, 1 average, 0.25 dry or mountains; 1 where absent. */
  terrainFactor?: number;
  /**
   * Of P.530: gradient of refractivity in the lowest 65 m, not exceeded for 1 % of an average year, N-units per km:
   * dN1; where absent -200, middling land in temperate climates.
   */
  refractivityGradient?: number;
  /**
   * Of "p530-detailed": standard deviation of the terrain heights in 110 by 110 km around the path, m: sa; 0, the most
   * fading, where absent.
   */
  terrainRoughnessM?: number;
}

/** Rule of multipath fading: the trade's plain one, or the quick or the detailed one of ITU-R P.530. */
export type MultipathRule = "vigants-barnett" | "p530" | "p530-detailed";

/**
 * Share of the average worst month in which deep fades begin: a fade of A dB or more takes this times 10^(-A/10).
 * It is a scale, not a probability, and passes 1 on long paths.
 */
export function computeMultipathOccurrence(rule: MultipathRule, path: MultipathInput): number {
  switch (rule) {
    case "vigants-barnett":
      return computePlainOccurrence(path);
    case "p530":
      return computeP530Occurrence(path, QUICK);
    case "p530-detailed":
      return computeP530Occurrence(path, DETAILED);
  }
}

/**
 * Source: A. Vigants, Bell System Technical Journal 54 (1975), and W. T. Barnett (1972), metric form 6e-7 C f d^3,
 * d in km, f in GHz. Valid for: line of sight, a few to some tens of km; 2 to 11 GHz.
 * Example: 10 km, 5.8 GHz, average terrain: 0.00348.
 */
function computePlainOccurrence({ distanceM, frequencyGhz, terrainFactor = 1 }: MultipathInput): number {
  return 6e-7 * terrainFactor * frequencyGhz * (distanceM / 1000) ** 3;
}

/** Average gradient where none is given, N-units per km: common practice, no source. */
const TEMPERATE_GRADIENT = -200;

/** Exponents of one method of P.530 and its climate: log10 K = logK - 0.0027 dN1 - roughness log10(10 + sa). */
interface P530Method {
  logK: number;
  roughness: number;
  distance: number;
  inclination: number;
  altitudePerM: number;
}

/** Source: ITU-R P.530-17, section 2.3.1, quick planning. */
const QUICK: P530Method = { logK: -4.6, roughness: 0, distance: 3.1, inclination: 1.29, altitudePerM: 0.00089 };

/** Source: ITU-R P.530-17, section 2.3.1, eqs (4), (5), (7), detailed design, by a public transcription. */
const DETAILED: P530Method = { logK: -4.4, roughness: 0.46, distance: 3.4, inclination: 1.03, altitudePerM: 0.00076 };

/**
 * In percent, K d^a (1 + |inclination|)^-b f^0.8 10^(-c hL): d in km, f in GHz, inclination in mrad, hL the lower
 * antenna above sea level. High and inclined paths fade less: without heights a margin is up to 10 dB too large.
 * Source: ITU-R P.530-17, section 2.3.1; the quick terms are also eqs (B.2.1) and (B.3.1) of ITU-R P.2001-2. P.530-18
 * put a world map of K in their place, which is not included here.
 * Valid for: overland paths, some km to 150 km; the Recommendation lets paths under 5 km count as free of multipath,
 * where here the law runs on to 0 at no distance, so that a map has no step. Deep fades: for those of less than 25 dB
 * section 2.3.2 asks for more, 10.5 instead of 7.0 dB on the first example. Example: quick, 10 km, 5.8 GHz, antennas at
 * 200 and 230 m: 0.000497; 20 km: 0.00781.
 */
function computeP530Occurrence(path: MultipathInput, method: P530Method): number {
  const { distanceM, frequencyGhz } = path;
  const { refractivityGradient = TEMPERATE_GRADIENT, terrainRoughnessM = 0 } = path;
  if (distanceM === 0) return 0;
  const distanceKm = distanceM / 1000;
  const climate = 10 ** (method.logK - 0.0027 * refractivityGradient) * (10 + terrainRoughnessM) ** -method.roughness;
  const heights = toRatio(-computeMethodReliefDb(path, method));
  return (climate * distanceKm ** method.distance * frequencyGhz ** 0.8 * heights) / 100;
}

/**
 * Returns how much the inclination of a path and the altitude of its lower antenna take off its multipath fades, dB, 0
 * or more; 0 by a rule that knows no heights. Altitudes below sea level count as at it.
 * Source: the last two factors of ITU-R P.530-17, section 2.3.1. Valid for: as the rule.
 * Example: p530, 10 km, antennas at 61 and 37 m: 12.9 lg(1 + 2.4) + 0.0089 * 37 = 7.19 dB.
 */
export function computeHeightReliefDb(rule: MultipathRule, path: MultipathHeights): number {
  if (rule === "vigants-barnett") return 0;
  return computeMethodReliefDb(path, rule === "p530" ? QUICK : DETAILED);
}

function computeMethodReliefDb({ distanceM, txAmslM = 0, rxAmslM = 0 }: MultipathHeights, method: P530Method): number {
  const inclinationMrad = distanceM === 0 ? 0 : (1000 * Math.abs(txAmslM - rxAmslM)) / distanceM;
  const lowerM = Math.max(0, Math.min(txAmslM, rxAmslM));
  return 10 * (method.inclination * Math.log10(1 + inclinationMrad) + method.altitudePerM * lowerM);
}
